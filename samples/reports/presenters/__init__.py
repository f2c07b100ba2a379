"""Reports as their pages show them."""
