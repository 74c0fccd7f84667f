"""What the farm has on record: the store, the journal, packages."""
