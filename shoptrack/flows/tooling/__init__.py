"""The log and the plan → the edges of the shop's tools: where each is, what it ran, when it is due."""
