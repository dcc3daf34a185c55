"""A second opinion on the sock: it shares no code with the planner."""
