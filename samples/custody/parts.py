"""What is shown of the archive, on the page and on paper."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Slot:
    """One slot: free, filled, or kept for a vial that is out or lost."""

    name: str
    number: str = ""
    stands: str = "free"


@dataclass(frozen=True, slots=True)
class IndexLine:
    """Where one vial is kept."""

    number: str
    box: str
    slot: str
    place: str
    is_out: bool
