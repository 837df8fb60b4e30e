"""airrisk: fire exposure of shut-in compressed air, from the steel to the report."""

__version__ = "0.1.0"
