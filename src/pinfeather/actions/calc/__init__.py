"""Calculators: each defined once, shown as a command, a page and a JSON object."""
