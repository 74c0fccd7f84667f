"""Limits and duties as data, by jurisdiction, with citation and status."""
