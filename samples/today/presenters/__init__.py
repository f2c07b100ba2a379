"""What the first page of a lake shows beside the work that waits."""
