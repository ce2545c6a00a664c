"""A recogniser led along the words that may be said."""
