"""Trying things on a scratch copy: knobs, live curves, guesses, pinned cases."""
