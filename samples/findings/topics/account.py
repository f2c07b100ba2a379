"""Which fish a page includes, and why the others are excluded: the counts add up."""

from dataclasses import dataclass, field

from samples.findings.page_model import Sentence

PICKED_WORDS = (
    "fish were picked for their size (the biggest, or a size that was asked for): their lengths "
    "are not counted. Their ages are in the key."
)


@dataclass(slots=True)
class Account:
    """Fish that a page could include, and those it excludes by reason.

    Attributes
    ----------
    what : str
        What is counted, such as "measured fish".
    total : int
        Fish of the choice.
    reasons : list of (str, int, str)
        Code, fish and words of each reason; a fish is excluded for one reason only.
    """

    what: str
    total: int
    reasons: list[tuple[str, int, str]] = field(default_factory=list)

    def exclude(self, code: str, count: int, why: str) -> None:
        """Count fish out for a reason; none is no reason."""
        if count:
            self.reasons.append((code, count, why))

    @property
    def included(self) -> int:
        return self.total - sum(count for _, count, _ in self.reasons)

    def sentences(self) -> list[Sentence]:
        """Return the sum first, then each reason with its fish; nothing where all are included."""
        if not self.reasons:
            return []
        out = self.total - self.included
        return [
            Sentence(
                "account",
                f"{self.total:,} {self.what}: {self.included:,} included, {out:,} excluded.",
            ),
            *[Sentence(code, f"{count:,} {why}") for code, count, why in self.reasons],
        ]
