"""Jobs, their tasks, and the plan of each."""
