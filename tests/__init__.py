"""airrisk tests."""
