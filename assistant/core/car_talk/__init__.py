"""The talk by which an owner describes a car: answers, the question that follows from them, words, the file."""
