"""Lists in words: written by rule, and as they are read."""
