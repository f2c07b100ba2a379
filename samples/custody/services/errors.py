"""What is refused where vials are moved in batches, in sentences fit to stand beside a field."""

from samples.vials.services import ScanRefused, VialsRefused


class CannotClear(ScanRefused):
    """Nothing was put to clear, and no tray was changed."""


class CannotArchive(ScanRefused):
    """No vial went into a box or came out of one."""


class CannotChangeHands(VialsRefused):
    """No vial changed hands."""
