"""A picture of each sheet before it is printed: coordinates in millimetres, ready to draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from samples.vials.geometry.stock import LabelPlace, LabelStock, place


@dataclass(frozen=True, slots=True)
class PlacePicture:
    """One place on a sheet. `state` is used, first, next or free.

    `cross` is the path that strikes out a used place, else empty; so is `text`.
    """

    position: int
    state: str
    x: float
    y: float
    width: float
    height: float
    text: str
    text_x: float
    text_y: float
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
    """The sheets drawn, and how many there are in all."""

    sheets: tuple[SheetPicture, ...]
    sheet_count: int
    not_drawn: int


def preview(
    stock: LabelStock,
    count: int,
    first_position: int,
    numbers: Sequence[str],
    most_sheets: int = 4,
) -> Preview:
    """Draw the sheets; beyond `most_sheets` only the first ones and the last.

    `numbers` holds what to write on each label, in order: the sequence, "0601".

    :raises OffTheSheet: if the sheet has no such position
    """
    if len(numbers) != count:
        raise ValueError("`numbers` must hold one text for each label.")
    place(stock, min(count, 1), first_position)
    skipped = first_position - 1
    sheet_count = -(-(skipped + count) // stock.per_page) if count else 0
    pages = list(range(1, sheet_count + 1))
    if sheet_count > most_sheets:
        pages = [*pages[: most_sheets - 1], sheet_count]
    sheets = tuple(_sheet(stock, page, skipped, numbers) for page in pages)
    return Preview(sheets, sheet_count, sheet_count - len(pages))


def _sheet(stock: LabelStock, page: int, skipped: int, numbers: Sequence[str]) -> SheetPicture:
    before = (page - 1) * stock.per_page - skipped
    pictures = tuple(
        _place(stock, placed, before + placed.position - 1, numbers)
        for placed in place(stock, stock.per_page)
    )
    printed = [picture for picture in pictures if picture.text]
    used = sum(picture.state == "used" for picture in pictures)
    free = sum(picture.state == "free" for picture in pictures)
    kind = "partly used" if used else "full"
    return SheetPicture(
        page=page,
        view_box=f"-1 -1 {stock.page_width_mm + 2:g} {stock.page_height_mm + 2:g}",
        width=stock.page_width_mm,
        height=stock.page_height_mm,
        places=pictures,
        title=f"Sheet {page}, {kind}.",
        caption=_caption(printed, used=used, free=free),
        spoken=_spoken(page, printed, used=used, free=free),
    )


def _place(
    stock: LabelStock, placed: LabelPlace, index: int, numbers: Sequence[str]
) -> PlacePicture:
    """Draw one place; `index` counts labels from the first one printed, used ones below 0."""
    state = _state(index, len(numbers))
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
        text=numbers[index] if state in {"first", "next"} else "",
        text_x=round(x + width / 2, 2),
        # Figures 9 mm high stand 6.2 mm tall: half of that below the middle.
        text_y=round(y + height / 2 + 3.1, 2),
        cross=cross if state == "used" else "",
    )


def _state(index: int, count: int) -> str:
    if index < 0:
        return "used"
    if index == 0:
        return "first"
    return "next" if index < count else "free"


def _caption(printed: Sequence[PlacePicture], *, used: int, free: int) -> str:
    labels = _labels(len(printed))
    gone = "Crossed positions are used. " if used else ""
    from_place = f", from position {printed[0].position}" if used else ""
    if not free:
        return f"{gone}{labels}{from_place}."
    stay = "1 position left" if free == 1 else f"{free} positions left"
    return f"{gone}{labels}{from_place}; {stay}, from position {_next(printed)}."


def _spoken(page: int, printed: Sequence[PlacePicture], *, used: int, free: int) -> str:
    """Return in words what the picture shows."""
    first, last = printed[0], printed[-1]
    parts = []
    if used:
        parts.append(f"the first {used} used")
    parts.append(
        f"{_labels(len(printed))}, {first.text} to {last.text}, "
        f"positions {first.position} to {last.position}"
    )
    if free:
        parts.append(f"{free} free")
    return f"Sheet {page}: {'; '.join(parts)}"


def _next(printed: Sequence[PlacePicture]) -> int:
    return printed[-1].position + 1


def _labels(count: int) -> str:
    return "1 label" if count == 1 else f"{count} labels"
