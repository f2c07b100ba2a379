"""A release after this one: the same code, with one migration more."""
