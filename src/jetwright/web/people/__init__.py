"""People, the crews they belong to, and what each may do."""
