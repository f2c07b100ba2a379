"""Why something about a picture is not done, in sentences fit to show."""


class CannotKeepPicture(Exception):
    """Why a file is not kept."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


class CannotChangePicture(Exception):
    """Why a picture stays as it is, and the field that it is about."""

    def __init__(self, code: str, field: str | None, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.field = field
        self.sentence = sentence
