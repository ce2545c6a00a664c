"""What is asked of files before anybody works by them: one small function a rule, grouped by subject."""
