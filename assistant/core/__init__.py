"""Pure: no files, no clock, no chance, no threads, no logging."""
