"""What lies where on each sheet before it is printed, to stand over the picture of the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from samples.vials.geometry.places import FULL_SHEETS, Filling, LabelPlace, place
from samples.vials.geometry.stock import LabelStock


@dataclass(frozen=True, slots=True)
class PlacePicture:
    """One place on a sheet. `state` is used, first, next or free.

    `cross` is the path that strikes out a used place, else empty.
    """

    position: int
    state: str
    x: float
    y: float
    width: float
    height: float
    rounding: float
    cross: str


@dataclass(frozen=True, slots=True)
class SheetPicture:
    """One sheet: its places, and what is to be said about it."""

    page: int
    view_box: str
    width: float
    height: float
    places: tuple[PlacePicture, ...]
    title: str
    caption: str
    spoken: str


@dataclass(frozen=True, slots=True)
class Preview:
    """The first sheet and the last, and how many there are in all."""

    sheets: tuple[SheetPicture, ...]
    sheet_count: int
    not_drawn: int


def preview(
    stock: LabelStock,
    first_position: int,
    numbers: Sequence[str],
    filling: Filling = FULL_SHEETS,
) -> Preview:
    """Describe the first sheet and the last.

    `numbers` holds what names each label, in order: the sequence, "0601".

    :raises OffTheSheet: if the sheet has no such position
    """
    placed = place(stock, max(len(numbers), 1), first_position, filling=filling)
    if not numbers:
        return Preview((), 0, 0)
    sheet_count = placed[-1].page
    sheets = tuple(
        _sheet(stock, page, placed, numbers, filling) for page in sorted({1, sheet_count})
    )
    return Preview(sheets, sheet_count, sheet_count - len(sheets))


def _sheet(
    stock: LabelStock,
    page: int,
    placed: Sequence[LabelPlace],
    numbers: Sequence[str],
    filling: Filling,
) -> SheetPicture:
    """Draw one sheet of those on which `placed` lie."""
    first = placed[0].position if page == 1 else 0
    here = {
        one.position: numbers[index // filling.copies]
        for index, one in enumerate(placed)
        if one.page == page
    }
    used = filling.used if page == 1 else frozenset()
    pictures = tuple(
        _place(stock, one, _state(one.position, first, here, used))
        for one in place(stock, stock.per_page)
    )
    free = [picture.position for picture in pictures if picture.state == "free"]
    kind = "partly used" if used else "new"
    return SheetPicture(
        page=page,
        view_box=f"-1 -1 {stock.page_width_mm + 2:g} {stock.page_height_mm + 2:g}",
        width=stock.page_width_mm,
        height=stock.page_height_mm,
        places=pictures,
        title=f"Sheet {page}, {kind}.",
        caption=_caption(here, used=len(used), free=free),
        spoken=_spoken(page, here, used=len(used), free=len(free)),
    )


def _place(stock: LabelStock, placed: LabelPlace, state: str) -> PlacePicture:
    x, y = round(placed.x_mm, 2), round(placed.y_mm, 2)
    width, height = stock.label_width_mm, stock.label_height_mm
    across, down = round(min(9.0, width / 2), 2), round(min(6.0, height / 2), 2)
    left, top = round(x + (width - across) / 2, 2), round(y + (height - down) / 2, 2)
    cross = f"M{left:g} {top:g}l{across:g} {down:g}m0 -{down:g}l-{across:g} {down:g}"
    return PlacePicture(
        position=placed.position,
        state=state,
        x=x,
        y=y,
        width=width,
        height=height,
        rounding=stock.rounding_mm,
        cross=cross if state == "used" else "",
    )


def _state(position: int, first: int, here: dict[int, str], used: frozenset[int]) -> str:
    if position in used:
        return "used"
    if position not in here:
        return "free"
    return "first" if position == first else "next"


def _caption(here: dict[int, str], *, used: int, free: Sequence[int]) -> str:
    labels = _labels(len(here))
    gone = "Crossed positions are used. " if used else ""
    from_place = f", from position {next(iter(here))}" if used else ""
    if not free:
        return f"{gone}{labels}{from_place}."
    stay = "1 position left" if len(free) == 1 else f"{len(free)} positions left"
    following = next((at for at in free if at > max(here)), free[0])
    return f"{gone}{labels}{from_place}; {stay}, from position {following}."


def _spoken(page: int, here: dict[int, str], *, used: int, free: int) -> str:
    """Return in words what the picture shows."""
    positions, texts = list(here), list(here.values())
    parts = [f"{used} used"] if used else []
    parts.append(
        f"{_labels(len(here))}, {texts[0]} to {texts[-1]}, "
        f"positions {positions[0]} to {positions[-1]}"
    )
    if free:
        parts.append(f"{free} free")
    return f"Sheet {page}: {'; '.join(parts)}"


def _labels(count: int) -> str:
    return "1 label" if count == 1 else f"{count} labels"
