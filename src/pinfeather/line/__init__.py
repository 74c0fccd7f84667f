"""Stations, people and pace."""
