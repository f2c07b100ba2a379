"""Keeping an installation: backups, bringing one back, and looking over the data."""
