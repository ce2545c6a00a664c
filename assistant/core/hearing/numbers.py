"""Spoken numbers and units to exact values. To be read together with `procedures/phrases/numbers.jsgf`."""
