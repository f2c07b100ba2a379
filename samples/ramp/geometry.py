"""The measuring board beside a question about a length: where things sit on it."""

from dataclasses import dataclass

WIDTH = 316
LEFT, RIGHT = 12, 296
STEPS = {"in": (1.0, 5), "mm": (20.0, 5)}
SPARE = 1.2


@dataclass(frozen=True, slots=True)
class Tick:
    x: float
    height: int
    label: str


@dataclass(frozen=True, slots=True)
class Pointer:
    x: float
    label: str
    off_board: bool


@dataclass(frozen=True, slots=True)
class Board:
    """A board drawn `WIDTH` wide: usual lengths as a band, what was said as pointers."""

    ticks: tuple[Tick, ...]
    band_x: float
    band_width: float
    pointers: tuple[Pointer, ...]
    description: str


def board(
    usual: tuple[float, float], lengths: list[tuple[float, str]], unit: str, species: str
) -> Board:
    """Lay out a board for usual lengths and the lengths in question, all in the unit shown."""
    step, every = STEPS[unit]
    count = int(usual[1] * SPARE / step / every + 1) * every
    if count > 40:
        step, count = step * every, -(-count // every // every) * every
    scale = (RIGHT - LEFT) / (count * step)
    ticks = tuple(
        Tick(
            round(LEFT + n * step * scale, 1),
            9 if n % every == 0 else 5,
            f"{n * step:g}" if n % every == 0 else "",
        )
        for n in range(count + 1)
    )
    pointers = tuple(
        Pointer(round(min(LEFT + at * scale, WIDTH - 2), 1), text, at > count * step)
        for at, text in lengths
    )
    off = [pointer.label for pointer in pointers if pointer.off_board]
    words = f"{species} here usually measure {usual[0]:g} to {usual[1]:g} {unit}."
    return Board(
        ticks=ticks,
        band_x=round(LEFT + usual[0] * scale, 1),
        band_width=round((usual[1] - usual[0]) * scale, 1),
        pointers=pointers,
        description=f"Measuring board. {words}" + (f" {off[0]} is off the board." if off else ""),
    )
