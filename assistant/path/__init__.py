"""The way of a spoken word: sound, ears, turn, mouth; and the ports to what lies outside."""
