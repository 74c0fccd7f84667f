"""One processing day: its plan, its tally, its proof."""
