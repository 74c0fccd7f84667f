"""Money: what is written down, what is taken from the records, what it adds up to."""
