"""Values printed by others, row by row, each beside its source."""
