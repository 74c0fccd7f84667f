"""Weights, prices, labels and codes of packages."""
