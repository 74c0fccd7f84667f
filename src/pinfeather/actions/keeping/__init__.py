"""Keeping records: what there is, until when it stays, and a customer's name taken out."""
