"""Engine oil: amounts, levels, grades."""
