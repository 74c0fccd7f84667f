"""The season: asking for a plan, keeping it, taking its lots and days."""
