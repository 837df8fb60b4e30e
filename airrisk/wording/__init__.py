"""Findings, labels, units and formulas as text. No Qt."""
