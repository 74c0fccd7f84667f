"""The binder: everything an inspector asks for about a period, gathered from what was kept."""
