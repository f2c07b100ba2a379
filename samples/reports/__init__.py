"""Season reports: findings of a lake put in order, frozen, and written as files."""
