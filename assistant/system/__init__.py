"""What the operating system gives and takes: processes, signals, files, devices."""
