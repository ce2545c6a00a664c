"""One file for each thing outside; none imports another."""
