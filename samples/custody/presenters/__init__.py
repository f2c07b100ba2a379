"""What goes out with a kit, put in words."""
