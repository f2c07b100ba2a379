"""Why something was not done at the lab, in words for the page."""

from samples.rules.plausible import Question


class CannotRead(Exception):
    """A reading that cannot be kept as it stands; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "vial") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


class ReadingNeedsConfirmation(Exception):
    """A reading with a likely slip: it is kept once its questions are answered with yes."""

    def __init__(self, questions: tuple[Question, ...]) -> None:
        super().__init__(" ".join(question.sentence for question in questions))
        self.questions = questions


class CannotDecide(Exception):
    """An age that cannot be decided so; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "age_years") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


class CannotPrepare(Exception):
    """A preparation that cannot be kept so; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


class WithdrawalNeedsConfirmation(Exception):
    """A reading that others rest on: it is deleted once that was confirmed."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class RuleNeedsConfirmation(Exception):
    """A rule that takes the age from fish: it is set once that was confirmed."""

    def __init__(self, lost: int) -> None:
        super().__init__(f"{lost} ages would be lost")
        self.lost = lost


class CannotWithdrawReading(Exception):
    """A reading that stays, and why."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class CannotCheck(Exception):
    """A check of vials that cannot be kept, and why."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class CannotOpenSession(Exception):
    """A session that was not opened or closed; the message belongs beside ``field``."""

    def __init__(self, code: str, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field


class SessionClosed(Exception):
    """A reading of a session that is closed: it stays as it is."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
