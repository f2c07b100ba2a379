"""What stops a backup or a restore; each has a code, and a sentence fit to show as its text."""


class MaintenanceError(Exception):
    """A backup or a restore that cannot go on.

    Attributes
    ----------
    code : str
        Short and stable, for programs: "no_tables", "checksum".
    """

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


class CannotBackUp(MaintenanceError):
    """No backup was made. Older ones are untouched."""


class CannotRestore(MaintenanceError):
    """The backup was not brought back."""


class DamagedBackup(CannotRestore):
    """The file is no backup, or not as it was written."""


class UnfitTools(MaintenanceError):
    """PostgreSQL's own programs are missing, or older than the server."""
