"""Pages of labels and of vials."""
