"""The page on how a season fills, put together."""

from dataclasses import dataclass, field

from samples.findings.page_model import Panel, Plot, Table
from samples.science.errors import CannotEstimate
from samples.science.season_forecast import SeasonForecast
from samples.seasons.presenters import figures, tables, words
from samples.seasons.presenters.filling import (
    Filling,
    Frame,
    GroupKey,
    fill_species,
    split_groups,
)
from samples.seasons.queries.weeks import SeasonChoice, SeasonRows, group_names
from samples.seasons.rules import SeasonWeeks, years_between
from samples.targets.queries.choice import CoverageOptions
from samples.targets.queries.set_targets import sum_in_bins

NO_FORECAST = {"closed", "no_targets"}


@dataclass(frozen=True, slots=True)
class Progress:
    """What the page says, draws and tables."""

    headline: str
    lead: list[str]
    plots: list[Plot]
    tables: list[Table]
    methods: list[str]
    has_fish: bool
    fillings: list[Filling] = field(default_factory=list)


def frame_of(choice: SeasonChoice, found: SeasonRows, options: CoverageOptions) -> Frame:
    season, last = choice.season, found.last
    weeks = SeasonWeeks(season.starts_on, season.ends_on)
    if last is None:
        return Frame(season.pk, weeks, options.today)
    return Frame(
        season.pk,
        weeks,
        options.today,
        last.pk,
        SeasonWeeks(last.starts_on, last.ends_on),
        last.name,
        years_between(last, season),
    )


def progress_of(choice: SeasonChoice, found: SeasonRows, options: CoverageOptions) -> Progress:
    """Put the page together from what was counted."""
    frame = frame_of(choice, found, options)
    fillings = fillings_of(choice, found, frame, options)
    names = [one.species.name for one in choice.species]
    if choice.is_every_species:
        return _of_every_species(choice, found, frame, dict(zip(names, fillings, strict=True)))
    [name], [filling] = names, fillings
    forecast, refused = try_forecast(filling)
    keys = group_names(options, choice.split)
    groups = split_groups(found.rows[choice.species[0].species_id], frame, keys)
    if choice.split == "arm":
        arms = range(len(filling.arms))
        panels = [figures.arm_panel(filling, at, forecast) for at in arms]
        shown = [one for one in panels if one is not None]
    else:
        shown = [figures.group_panel(one, frame) for one in groups]
    plots = [figures.whole_plot(filling, forecast), *_split_plot(shown, frame, choice.split)]
    weeks = tables.weeks_table(frame, groups, choice.split)
    found_tables = [tables.arms_table(filling, forecast)] if choice.split == "arm" else []
    return Progress(
        words.headline(name, filling, forecast),
        [*words.lead(filling, forecast, refused), *words.beside_coverage(found)],
        plots,
        [*found_tables, weeks],
        [*words.methods(frame, fillings)],
        bool(filling.collected or filling.wanted or groups),
        fillings,
    )


def fillings_of(
    choice: SeasonChoice, found: SeasonRows, frame: Frame, options: CoverageOptions
) -> list[Filling]:
    """Return how each species fills the season, in the order of the lake's species."""
    made = []
    for one in choice.species:
        targets = found.targets(one.species_id)
        wanted, _ = sum_in_bins(targets, one.bin_width_hundredths_mm)
        made.append(fill_species(found.rows[one.species_id], frame, options.arms, wanted))
    return made


def try_forecast(filling: Filling) -> tuple[SeasonForecast | None, str]:
    """Return the forecast, or why there is none; an empty reason where none is due."""
    try:
        return filling.forecast(), ""
    except CannotEstimate as refused:
        return None, "" if refused.code in NO_FORECAST else refused.code


def _split_plot(panels: list[Panel], frame: Frame, split: str) -> list[Plot]:
    if not panels:
        return []
    label = "Fish that fill arm minimums" if split == "arm" else "Fish collected"
    if split == "arm" and not any(panel.marks for panel in panels):
        label = "Fish collected"
    return [figures.season_plot(f"By {split}", panels, frame, label)]


def _of_every_species(
    choice: SeasonChoice, found: SeasonRows, frame: Frame, by_name: dict[str, Filling]
) -> Progress:
    rows = [(name, filling, try_forecast(filling)[0]) for name, filling in by_name.items()]
    rows = [row for row in rows if row[1].collected or row[1].wanted]
    shown = {one.species.name: one for one in choice.species}
    panels = [panel for row in rows if (panel := figures.species_panel(*row))]
    keys: dict[GroupKey, str] = {one.species_id: name for name, one in shown.items()}
    every = [(*row[:3], row[1], *row[4:]) for one in found.rows.values() for row in one]
    groups = split_groups(every, frame, keys)
    collected = sum(filling.collected for _, filling, _ in rows)
    plots = _split_species(panels, frame)
    return Progress(
        f"{collected} fish collected in {choice.season}",
        [*words.lead_of_species(rows), *words.beside_coverage(found)],
        plots,
        [tables.species_table(rows), tables.weeks_table(frame, groups, "species")],
        [*words.methods(frame, list(by_name.values()))],
        bool(rows),
        list(by_name.values()),
    )


def _split_species(panels: list[Panel], frame: Frame) -> list[Plot]:
    if not panels:
        return []
    return [figures.season_plot("By species", panels, frame, "Targets filled, %")]
