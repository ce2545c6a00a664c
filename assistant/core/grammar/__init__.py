"""What may be said, as a grammar (JSGF) and as graphs of words."""
