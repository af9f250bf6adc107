"""What the planner's engines make of invented shops."""
