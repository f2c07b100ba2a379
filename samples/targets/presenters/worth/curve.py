"""The curve of the CV of age shares over the number of otoliths read, as it is drawn."""

from collections.abc import Callable
from dataclasses import dataclass

WIDTH, HEIGHT = 330, 176
LEFT, RIGHT, TOP, BOTTOM = 38, 316, 24, 148
# Ticks of the CV at 1, 2, 5, 10 ... percent, no more than so many.
STEPS = (1, 2, 5, 10, 20, 25, 50, 100)
MOST_TICKS = 5
# Where the name of a line stands from it.
UNDER, OVER = 20, -7


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class WorthCurve:
    """Lines as paths, ticks, and the point that the page is about.

    ``anchor`` says on which side of the point its figure stands; the labels of the lines have
    places of their own.
    """

    by_worth: str
    equally: str
    cv_ticks: list[Tick]
    fish_ticks: list[Tick]
    x: float
    y: float
    text: str
    anchor: str
    label_at: tuple[float, float]
    other_at: tuple[float, float]


def curve_of(points: list[tuple[int, float, float]], *, chosen: int, cv: float) -> WorthCurve:
    """Lay out the curve.

    :param points: fish read, CV in percent by worth and by equal numbers; from 0 up
    :param chosen: the budget that the page is about, with its CV
    """
    most = points[-1][0] or 1
    top = max(max(one, other) for _, one, other in points) or 1.0
    step = next((one for one in STEPS if top / one <= MOST_TICKS), STEPS[-1])
    top = step * (int(top // step) + 1)

    def x(fish: float) -> float:
        return round(LEFT + (RIGHT - LEFT) * fish / most, 1)

    def y(percent: float) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * percent / top, 1)

    def path(line: list[tuple[int, float]]) -> str:
        return "M" + "L".join(f"{x(n)} {y(value)}" for n, value in line)

    third = points[len(points) // 3]
    # A plan for a length limit can leave the shares less well known than equal numbers do.
    worth_below = third[1] <= third[2]
    late = chosen > 0.7 * most
    return WorthCurve(
        by_worth=path([(n, one) for n, one, _ in points]),
        equally=path([(n, other) for n, _, other in points]),
        cv_ticks=[Tick(y(value), str(value)) for value in range(0, top + 1, step)],
        fish_ticks=_fish_ticks(most, chosen, x),
        x=x(chosen),
        y=y(cv),
        text=f"{cv:.1f}%",
        anchor="end" if late else "start",
        label_at=(x(third[0]), y(third[1]) + (UNDER if worth_below else OVER)),
        other_at=(x(third[0]) + 4, y(third[2]) + (OVER if worth_below else UNDER)),
    )


def _fish_ticks(most: int, chosen: int, x: Callable[[float], float]) -> list[Tick]:
    """Return quarters of the way, and the chosen number in place of one that would touch it."""
    apart = most / 9
    quarters = [round(most * part / 4) for part in range(5)]
    kept = [one for one in quarters if abs(one - chosen) > apart]
    return [Tick(x(one), str(one), one == chosen) for one in sorted({*kept, chosen})]
