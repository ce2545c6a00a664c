"""What denies a phrase, made by rule, and words that turn what is said into its contrary."""
