"""Lots and their lives: what is written down of them, and what it says."""
