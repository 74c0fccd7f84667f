"""Documents and pictures from plain values."""
