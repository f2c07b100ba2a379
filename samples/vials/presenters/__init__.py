"""What the pages of vials say of one, step by step."""
