"""Which length limits and other rules are asked about, and where answers part."""

from dataclasses import dataclass, field

from samples.science.length_limit.verdict import Lines


@dataclass(frozen=True, slots=True)
class LimitSelection:
    """Which limits are asked about, in mm, the first above all, and where answers part.

    ``release`` names a row of release death by its key; ``caught_below`` says how often fish
    under the limit are caught, against those over it. A verdict wants ``fewest_aged`` fish: of
    fewer, drawing them anew makes intervals that are too narrow.
    """

    limits_mm: tuple[float, ...] = ()
    lines: Lines = field(default_factory=Lines)
    release: str = ""
    caught_below: float = 1.0
    fewest_aged: int = 50
    slot_mm: tuple[float, float] | None = None
    over_mm: float = 0.0
    creel_limit: int | None = None
    kept_a_trip: float | None = None
    kept_without_mm: float = 0.0
