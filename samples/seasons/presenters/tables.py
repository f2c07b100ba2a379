"""Tables of a season: how far each group is, and its fish week by week."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.utils.formats import date_format

from samples.findings.page_model import Cell, Column, Count, Estimate, Missing, Part, Table, Text
from samples.science.arguments import Ints
from samples.science.season_forecast import SeasonForecast
from samples.seasons.presenters.filling import Filling, Frame, Group

NONE = Missing("no target")


@dataclass(frozen=True, slots=True)
class WeekOf(Cell):
    """The first day of a week; a file has it with its year."""

    starts_on: date

    @property
    def text(self) -> str:
        return date_format(self.starts_on, "M j").replace(" ", "\N{NO-BREAK SPACE}")

    @property
    def parts(self) -> tuple[Part, ...]:
        return (Part("", self.starts_on.isoformat()),)


def weeks_table(frame: Frame, groups: Sequence[Group], split: str) -> Table:
    """Return the fish collected by week of catch and group, as far as the season has come.

    The total stands first, then the latest week; fish of no known day have a line of their own.
    """
    over = frame.weeks.week_of(frame.today) + 1
    over = max([over, *(int(np.flatnonzero(one.this)[-1]) + 1 for one in groups if one.this.any())])
    rows: list[list[Cell]] = []
    running = sum(one.undated for one in groups)
    has_last = frame.last is not None
    last_by_week, last_undated = _summed_last(frame, groups)
    if running:
        rows.append(_week_row(Text("No date"), [one.undated for one in groups], running, None))
    for week in range(over):
        fish = [int(one.this[week]) for one in groups]
        running += sum(fish)
        last = last_undated + int(last_by_week[: week + 1].sum()) if has_last else None
        rows.append(_week_row(WeekOf(frame.weeks.start_of(week)), fish, running, last))
    rows.append(_week_row(Text("Total"), [one.total for one in groups], running, None))
    rows.reverse()
    columns = [Column("Week of"), *(Column(one.name) for one in groups), Column("All")]
    columns.append(Column("So far"))
    if has_last:
        columns.append(Column(f"{frame.last_name} so far"))
    else:
        rows = [row[:-1] for row in rows]
    return Table("weeks", f"Fish collected by week and {split}", columns, rows)


def _summed_last(frame: Frame, groups: Sequence[Group]) -> tuple[Ints, int]:
    total = np.zeros(frame.weeks.count, dtype=np.int64)
    for one in groups:
        if one.last is not None:
            total = total + one.last
    return total, sum(one.last_undated for one in groups)


def _week_row(name: Cell, fish: Sequence[int], running: int, last: int | None) -> list[Cell]:
    counts: list[Cell] = [Count(n) for n in fish]
    before: Cell = Missing("a sum of one season") if last is None else Count(last)
    return [name, *counts, Count(sum(fish)), Count(running), before]


def arms_table(filling: Filling, forecast: SeasonForecast | None) -> Table:
    """Return how far each arm is with its minimums."""
    rows: list[list[Cell]] = []
    frame, wanted = filling.frame, filling.wanted
    fish, by_now = filling.this.total, _last_by_now(filling)
    for at, arm in enumerate(filling.arms):
        floors = int(wanted.arms[at].sum()) if wanted else 0
        if not (fish[at].sum() or floors or (by_now is not None and by_now[at].sum())):
            continue
        short = int(wanted.short_by_arm(fish)[at]) if wanted else 0
        cells: list[Cell] = [Text(arm.name), Count(int(fish[at].sum()))]
        if by_now is not None:
            cells.append(Count(int(by_now[at].sum())))
        cells += [
            Count(floors) if floors else NONE,
            Count(short) if floors else NONE,
        ]
        if forecast is not None:
            cells.append(_forecast_cell(forecast.short_by_arm[:, at]) if floors else NONE)
        rows.append(cells)
    last = [Column(_last_head(frame))] if by_now is not None else []
    ahead = [Column("Forecast short", "Forecast short at the season's end")]
    columns = [Column("Arm"), Column("Collected"), *last, Column("Arm minimums"), Column("Short")]
    columns += ahead if forecast is not None else []
    return Table("arms", "How far each arm is", columns, rows)


def species_table(rows_of: Sequence[tuple[str, Filling, SeasonForecast | None]]) -> Table:
    """Return how far each species is with its targets."""
    rows: list[list[Cell]] = []
    has_last = any(filling.last is not None for _, filling, _ in rows_of)
    has_forecast = any(forecast is not None for _, _, forecast in rows_of)
    for species, filling, forecast in rows_of:
        wanted = filling.wanted
        cells: list[Cell] = [Text(species), Count(filling.collected)]
        if has_last:
            by_now = _last_by_now(filling)
            cells.append(Count(0 if by_now is None else int(by_now.sum())))
        cells += [
            Count(wanted.total) if wanted else NONE,
            Count(filling.short) if wanted else NONE,
        ]
        if has_forecast:
            cells.append(_forecast_cell(forecast.short) if forecast else Missing("no forecast"))
        rows.append(cells)
    last = [Column(_last_head(rows_of[0][1].frame))] if has_last else []
    columns = [Column("Species"), Column("Collected"), *last, Column("Targets"), Column("Short")]
    if has_forecast:
        columns.append(Column("Forecast short", "Forecast short at the season's end"))
    return Table("species", "How far each species is", columns, rows)


def _last_head(frame: Frame) -> str:
    return frame.last_name if frame.closed else f"{frame.last_name} by then"


def _forecast_cell(ends: Ints) -> Cell:
    low, middle, high = (int(one) for one in ends)
    return Estimate(float(middle), float(low), float(high))


def _last_by_now(filling: Filling) -> Ints | None:
    """Return last season's fish by arm and bin, until the week of today."""
    if filling.last is None:
        return None
    frame = filling.frame
    weeks = frame.weeks.count if frame.closed else frame.full_weeks
    return np.asarray(filling.last.running[weeks], dtype=np.int64)


def last_filled_by_now(filling: Filling) -> int | None:
    """Return the fish of last season that would fill these targets, until the week of today."""
    by_now = _last_by_now(filling)
    return None if by_now is None else int(filling.measure(by_now))
