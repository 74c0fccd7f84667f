"""The farm's planning numbers: where each comes from, and how it moved."""
