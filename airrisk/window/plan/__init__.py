"""The drawing of the installation: where things stand, how they look, what the mouse does."""
