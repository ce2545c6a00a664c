"""Bolts: threads, torques, wrenches."""
