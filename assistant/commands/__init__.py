"""What a person types: one file a command."""
