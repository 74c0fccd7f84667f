"""Plan a poultry processing day, run it, and prove it."""

__version__ = "0.1.0"
