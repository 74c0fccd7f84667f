"""What a bird cost, what it should sell for, and whether it is worth it."""
