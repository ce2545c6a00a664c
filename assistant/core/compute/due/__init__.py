"""When a job is next due."""
