"""Packages after the desk: freezer, orders, store, trace and recall."""
