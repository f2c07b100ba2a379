"""What stops a backup or a restore; each carries a sentence fit to show."""


class CannotBackUp(Exception):
    """No backup was made. Older ones are untouched."""


class CannotRestore(Exception):
    """The backup was not brought back."""


class DamagedBackup(CannotRestore):
    """The file is no backup, or not as it was written."""


class UnfitTools(Exception):
    """PostgreSQL's own programs are missing, or older than the server."""
