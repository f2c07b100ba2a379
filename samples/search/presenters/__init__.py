"""What the pages of this stage show."""
