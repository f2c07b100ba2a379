"""What this stage refuses, in sentences fit to stand beside a field."""


class VialsRefused(Exception):
    """Nothing was changed. `field` names what to put right, as the services call it."""

    def __init__(self, code: str, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field


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


class CannotMakeRun(VialsRefused):
    """No numbers were taken."""


class CannotReprint(VialsRefused):
    """No labels were printed again."""


class CannotKeepStock(VialsRefused):
    """The label stock was not kept."""


class CannotSetWidth(VialsRefused):
    """The numbers of this year are already being printed."""


class CannotSetPrinter(VialsRefused):
    """With this correction a label would leave its sheet."""


class CannotIssue(VialsRefused):
    """No vial changed hands."""


class CannotReturnVials(VialsRefused):
    """No vial came back."""


class CannotReceive(ScanRefused):
    """This vial was not taken in."""


class CannotMark(VialsRefused):
    """No vial was set aside, and none was brought back."""
