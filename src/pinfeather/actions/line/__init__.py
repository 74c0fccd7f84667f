"""The line: crew, what-if, part-days, the farm’s own times."""
