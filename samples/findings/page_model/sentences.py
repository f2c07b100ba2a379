"""Sentences of a page, each with a code beside its words."""

from collections.abc import Sequence
from typing import Self


class Sentence(str):
    """A sentence with a code: people read the one, programs go by the other.

    It is written out like any text; put together with other text it is plain text again.

    Attributes
    ----------
    code : str
        Short and stable: "few_aged", "arms_pooled".
    """

    __slots__ = ("code",)

    code: str

    def __new__(cls, code: str, words: str) -> Self:
        made = super().__new__(cls, words)
        made.code = code
        return made

    def __reduce__(self) -> tuple[type[Self], tuple[str, str]]:
        # Kept between processes, it has its code again.
        return type(self), (self.code, str(self))

    def reworded(self, words: str) -> Self:
        """Return other words under the same code."""
        return type(self)(self.code, words)

    def of(self, name: str) -> Self:
        """Return the sentence as it is said of one group."""
        return self.reworded(f"{name}: {self}")


def joined(sentences: Sequence[Sentence]) -> Sentence:
    """Return sentences as one that has the codes of all; empty where there are none."""
    codes = dict.fromkeys(one.code for one in sentences)
    return Sentence(",".join(codes), " ".join(sentences))
