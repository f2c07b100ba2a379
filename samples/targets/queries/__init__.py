"""What the pages of this stage read: which fish are chosen, counted and listed."""
