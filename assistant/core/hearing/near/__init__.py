"""Which words sound alike, and by how much."""
