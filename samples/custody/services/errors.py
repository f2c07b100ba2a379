"""What is refused where vials are moved in batches, in sentences fit to stand beside a field."""

from samples.vials.services import VialsRefused


class ScanRefused(VialsRefused):
    """This vial was not moved.

    ``remedy`` is what the page may offer to do in its place, ``number`` the vial that it is about
    and ``slot`` the slot that it would go to. ``choices`` are the numbers that were meant perhaps.
    """

    def __init__(
        self,
        code: str,
        sentence: str,
        field: str = "number",
        *,
        number: str = "",
        remedy: str = "",
        slot: str = "",
        choices: tuple[str, ...] = (),
    ) -> None:
        super().__init__(code, sentence, field)
        self.number = number
        self.remedy = remedy
        self.slot = slot
        self.choices = choices


class CannotClear(ScanRefused):
    """Nothing was put to clear, and no tray was changed."""


class CannotArchive(ScanRefused):
    """No vial went into a box or came out of one."""


class CannotChangeHands(VialsRefused):
    """No vial changed hands."""
