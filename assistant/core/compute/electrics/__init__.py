"""Batteries and leads."""
