"""Amounts, units, numbers and how they are said: the ground floor."""
