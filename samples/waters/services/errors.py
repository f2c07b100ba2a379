"""What is refused, in a sentence fit to show, and the field it belongs to."""


class ChangeRefused(Exception):
    """A change that would not hold together with what is kept already."""

    def __init__(self, code: str, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.field = field
