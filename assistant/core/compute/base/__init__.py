"""What every computation is made of: its inputs, its result, how it is said and shown."""
