"""What is said and shown of a state: answers, reports, tones."""
