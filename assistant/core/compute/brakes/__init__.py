"""Brakes: pads, discs, fluid."""
