"""What the engines heard, weighed: taken, asked about, or left alone."""
