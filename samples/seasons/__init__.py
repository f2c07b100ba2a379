"""A season as a whole: how it fills from week to week, what it comes to, and its plan."""
