"""The desktop window; the only room that imports Qt."""
