"""The questions asked of an installation, answered as plain result records."""
