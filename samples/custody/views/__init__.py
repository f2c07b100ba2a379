"""Pages where vials are moved in batches."""
