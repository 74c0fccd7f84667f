"""The first hour on an empty farm: who we are, and a first planned day."""
