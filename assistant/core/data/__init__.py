"""What files hold: vehicles, jobs, gates, settings. Frozen; nothing here acts."""
