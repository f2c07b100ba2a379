"""The four answers an entry can get, and the reasons that go with them."""

from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

from samples.ramp.entry.held_words import HELD_WORDS


class Outcome(StrEnum):
    LOGGED = "logged"
    ALREADY_LOGGED = "already_logged"
    HELD = "held"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one entry. The phone may forget it on any outcome but ``refused``."""

    entry_id: UUID
    outcome: Outcome
    reason: str = ""
    errors: dict[str, list[str]] = field(default_factory=dict)

    @property
    def message(self) -> str:
        """Return what is wrong with a refused entry, all of it in one go."""
        return " ".join(sentence for found in self.errors.values() for sentence in found)


class Refused(Exception):
    """An entry that its sender can put right: it stays with them, with the reason beside it."""

    def __init__(self, code: str, errors: dict[str, list[str]]) -> None:
        super().__init__(" ".join(sentence for found in errors.values() for sentence in found))
        self.code = code
        self.errors = errors


class Held(Exception):
    """An entry that only the office can settle. It is kept word for word."""

    def __init__(self, code: str) -> None:
        super().__init__(HELD_WORDS[code])
        self.code = code
