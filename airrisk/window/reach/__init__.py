"""How far it reaches if a vessel lets go: plan with rings, distances, people."""
