"""Figures of a season: running sums of fish against an even pace, last season and the forecast."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from django.utils.formats import date_format

from samples.findings.page_model import Mark, Panel, Plot, Series
from samples.science.arguments import Ints
from samples.science.season_forecast import SeasonForecast
from samples.seasons.presenters.filling import Filling, Frame, Group

THIS, EVEN = "This season", "Even pace"
FORECAST = "Forecast, 80% interval"


def whole_plot(filling: Filling, forecast: SeasonForecast | None) -> Plot:
    """Return the figure of one species: what fills its targets, and what the rest will add."""
    wanted = filling.wanted
    panel = Panel(
        filling_title(filling),
        [
            *forecast_band(filling.frame, forecast),
            *running_lines(
                filling.frame,
                filling.measure(filling.this.running),
                filling.measure(filling.last.running) if filling.last else None,
                goal=wanted.total if wanted else 0,
            ),
        ],
        target_marks(wanted.total if wanted else 0),
    )
    return season_plot(
        "Season so far" if wanted else "Fish collected",
        [panel],
        filling.frame,
        "Fish that fill targets" if wanted else "Fish collected",
    )


def filling_title(filling: Filling) -> str:
    if filling.wanted is None:
        return f"{filling.collected} collected"
    filled = int(filling.measure(filling.this.total))
    return f"{filled} of {filling.wanted.total}"


def arm_panel(filling: Filling, arm: int, forecast: SeasonForecast | None) -> Panel | None:
    """Return the panel of one arm, against its minimums where it has any."""
    one = filling.this.rows([arm])
    other = filling.last.rows([arm]) if filling.last else None
    if not one.total.sum() and (other is None or not other.total.sum()):
        return None
    floors = filling.wanted.arms[arm] if filling.wanted else np.zeros(0, dtype=np.int64)
    goal = int(floors.sum())

    def measure(running: Ints) -> Ints:
        fish = running[:, 0, :]
        return np.asarray((np.minimum(fish, floors) if goal else fish).sum(axis=1), dtype=np.int64)

    filled = measure(one.running)
    return Panel(
        filling.arms[arm].name,
        running_lines(filling.frame, filled, measure(other.running) if other else None, goal=goal),
        target_marks(goal),
        answer=f"{filled[-1]} of {goal}" if goal else f"{filled[-1]}",
        interval=_short_text(forecast, arm) if goal else "",
        note="" if goal or not filling.wanted else "no minimum",
    )


def _short_text(forecast: SeasonForecast | None, arm: int) -> str:
    if forecast is None:
        return ""
    low, middle, high = (int(one) for one in forecast.short_by_arm[:, arm])
    return f"forecast {middle} short ({low}-{high})"


def group_panel(group: Group, frame: Frame) -> Panel:
    """Return the panel of a reach, sex or method: targets are for all fish, so it has none."""
    running = _running(group.this, group.undated)
    last = None if group.last is None else _running(group.last, group.last_undated)
    return Panel(group.name, running_lines(frame, running, last, goal=0), answer=f"{group.total}")


def species_panel(name: str, filling: Filling, forecast: SeasonForecast | None) -> Panel | None:
    """Return the panel of one species among all, in percent of its targets; none without any."""
    if filling.wanted is None:
        return None
    goal = filling.wanted.total
    interval = ""
    if forecast is not None:
        low, middle, high = (int(one) for one in forecast.short)
        interval = f"forecast {middle} short ({low}-{high})"
    series = [
        *forecast_band(filling.frame, forecast),
        *running_lines(
            filling.frame,
            filling.measure(filling.this.running),
            filling.measure(filling.last.running) if filling.last else None,
            goal=goal,
        ),
    ]
    percent = [_in_percent(one, goal) for one in series]
    marks = target_marks(100)
    return Panel(name, percent, marks, answer=filling_title(filling), interval=interval)


def _in_percent(series: Series, goal: int) -> Series:
    y, lower, upper = (
        [100 * one / goal for one in values] for values in (series.y, series.lower, series.upper)
    )
    return replace(series, y=y, lower=lower, upper=upper)


def season_plot(name: str, panels: list[Panel], frame: Frame, y_label: str) -> Plot:
    return Plot(
        name=name,
        panels=panels,
        x_label="Week of",
        y_label=y_label,
        alt="",
        caption=caption_of(frame) if any(panel.marks for panel in panels) else "",
        whole_x=True,
        whole_y=True,
        x_names=week_names(frame),
    )


def caption_of(frame: Frame) -> str:
    level = "Level line: what is wanted."
    last = f"{frame.last_name} is held against the same targets." if frame.last_name else ""
    return f"{level} {last}".strip()


def running_lines(frame: Frame, running: Ints, last: Ints | None, *, goal: int) -> list[Series]:
    """Return the lines of a panel: last season and an even pace under this season."""
    weeks = [*range(frame.weeks.count), frame.weeks.days / 7]
    found = []
    if goal:
        found.append(Series("dash", [0.0, weeks[-1]], [0.0, float(goal)], name=EVEN))
    if last is not None and last[-1]:
        found.append(Series("dotted", _floats(weeks), _floats(last), name=frame.last_name))
    shown = [week for week in weeks if week < frame.now]
    now = [*shown, frame.now]
    found.append(
        Series("line", _floats(now), _floats([*running[: len(shown)], running[-1]]), name=THIS)
    )
    return found


def forecast_band(frame: Frame, forecast: SeasonForecast | None) -> list[Series]:
    if forecast is None:
        return []
    at = np.cumsum([frame.now, *frame.weeks.steps_left(frame.today)])
    low, middle, high = (_floats(one) for one in forecast.filled)
    return [Series("band", _floats(at), middle, low, high, name=FORECAST)]


def target_marks(goal: int) -> list[Mark]:
    return [Mark(goal, "", tick=str(goal))] if goal else []


def week_names(frame: Frame) -> Mapping[int, str]:
    """Return the first day of each week, as it stands at the axis."""
    weeks = frame.weeks
    return {week: date_format(weeks.start_of(week), "M j") for week in range(weeks.count + 1)}


def _running(by_week: Ints, undated: int) -> Ints:
    return np.concatenate([[undated], undated + np.cumsum(by_week)]).astype(np.int64)


def _floats(values: object) -> list[float]:
    return [float(one) for one in values]  # type: ignore[attr-defined]
