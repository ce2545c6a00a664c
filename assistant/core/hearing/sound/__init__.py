"""Sound before it is words: levels, pauses, noise."""
