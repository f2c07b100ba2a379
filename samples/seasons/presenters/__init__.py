"""What the pages of a season show."""
