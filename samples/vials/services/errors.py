"""What this stage refuses, in sentences fit to stand beside a field."""


class VialsRefused(Exception):
    """Nothing was changed. `field` names what to put right, as the services call it."""

    def __init__(self, code: str, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field


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


class CannotReceive(VialsRefused):
    """This vial was not taken in."""


class CannotMark(VialsRefused):
    """No vial was set aside, and none was brought back."""
