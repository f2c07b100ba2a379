"""What the pages of a season read."""
