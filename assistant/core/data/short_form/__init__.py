"""The short form of a job file and its groups: names in braces, loops, merged definitions, and where each came from."""
