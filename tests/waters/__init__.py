"""Setting a lake up."""
