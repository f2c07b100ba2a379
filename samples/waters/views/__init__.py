"""Pages on which the biologist sets a lake up."""
