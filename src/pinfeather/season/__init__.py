"""A season: which lots hatch when, and on which days they are processed."""
