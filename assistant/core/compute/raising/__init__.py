"""Jacks, stands, ramps."""
