"""What an estimator raises when the fish it was given cannot answer."""


class CannotEstimate(Exception):
    """The fish given do not carry the estimate asked for.

    Attributes
    ----------
    code : str
        Short and stable, for programs: "no_fish", "one_age".
    sentence : str
        What is missing, fit to show to a biologist.
    """

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(code, sentence)
        self.code = code
        self.sentence = sentence

    def __str__(self) -> str:
        return self.sentence
