"""From sound to meaning: segmenting, phrases, pronunciation, matching, numbers."""
