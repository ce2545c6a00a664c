"""Tyres: size, wear, pressure."""
