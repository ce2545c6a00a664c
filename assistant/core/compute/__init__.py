"""What a person under a car cannot work out with oily hands: pure functions, a module for each subject."""
