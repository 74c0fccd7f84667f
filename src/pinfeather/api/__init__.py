"""JSON for devices."""
