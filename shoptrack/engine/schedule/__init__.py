"""The planner: a problem of whole minutes to a plan, by three engines, and a judge that shares none of it."""
