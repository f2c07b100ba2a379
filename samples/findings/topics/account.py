"""Which fish a page includes, and why the others are excluded: the counts add up."""

from dataclasses import dataclass, field


@dataclass(slots=True)
class Account:
    """Fish that a page could include, and those it excludes by reason.

    Attributes
    ----------
    what : str
        What is counted, such as "measured fish".
    total : int
        Fish of the choice.
    reasons : list of (int, str)
        Fish excluded for each reason; a fish is excluded for one reason only.
    """

    what: str
    total: int
    reasons: list[tuple[int, str]] = field(default_factory=list)

    def exclude(self, count: int, why: str) -> None:
        """Count fish out for a reason; none is no reason."""
        if count:
            self.reasons.append((count, why))

    @property
    def included(self) -> int:
        return self.total - sum(count for count, _ in self.reasons)

    def sentences(self) -> list[str]:
        """Return the sum first, then each reason with its fish; nothing where all are included."""
        if not self.reasons:
            return []
        out = self.total - self.included
        return [
            f"{self.total:,} {self.what}: {self.included:,} included, {out:,} excluded.",
            *[f"{count:,} {why}" for count, why in self.reasons],
        ]
