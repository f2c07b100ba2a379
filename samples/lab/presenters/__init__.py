"""What pages of the lab show that is more than rows of the database."""
