"""A processing day: its plan, its journal, its close and its documents."""
