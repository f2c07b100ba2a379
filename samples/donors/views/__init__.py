"""Pages of what donors hear back."""
