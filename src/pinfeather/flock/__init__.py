"""Raising birds: growth, feed, losses, orders and rations; no records, no clock."""
