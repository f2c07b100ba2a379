"""A season in words: where it stands, what it comes to, and how that was worked out."""

from collections.abc import Sequence

from django.utils.formats import date_format

from samples.findings.page_model import Sentence
from samples.science.season_forecast import FEWEST_FISH, FEWEST_WEEKS, SeasonForecast
from samples.seasons.presenters.filling import Filling, Frame
from samples.seasons.presenters.tables import last_filled_by_now
from samples.seasons.queries.weeks import SeasonRows


def headline(name: str, filling: Filling, forecast: SeasonForecast | None) -> Sentence:
    """Return what the season comes to in a few words."""
    species, frame, wanted = name.lower(), filling.frame, filling.wanted
    if wanted is None:
        return Sentence("collected", f"{filling.collected} {species} collected")
    if not filling.short:
        return Sentence("met", f"All {wanted.total} {species} of the targets are collected")
    if frame.closed:
        return Sentence("closed_short", f"The season ended {filling.short} {species} short")
    if forecast is None:
        filled = wanted.total - filling.short
        return Sentence("filled", f"{filled} of {wanted.total} {species} collected")
    end = date_format(frame.weeks.ends_on)
    middle = int(forecast.short[1])
    if not middle:
        return Sentence("forecast_met", f"Forecast: targets for {species} met by {end}")
    return Sentence("forecast_short", f"Forecast: {middle} {species} short on {end}")


def lead(filling: Filling, forecast: SeasonForecast | None, refused: str) -> list[Sentence]:
    """Return what stands behind the headline: the interval, and the pace so far."""
    found = []
    if forecast is not None and filling.short:
        low, _, high = (int(one) for one in forecast.short)
        found.append(Sentence("interval", f"80% prediction interval: {low} to {high} short."))
    found += pace(filling)
    if refused:
        found.append(refusal(refused))
    return found


def lead_of_species(
    rows: Sequence[tuple[str, Filling, SeasonForecast | None]],
) -> list[Sentence]:
    """Return what all species together are short of their targets, and will be."""
    wanted = [row for row in rows if row[1].wanted]
    if not wanted:
        return [Sentence("no_targets", "No targets are set.")]
    short = sum(filling.short for _, filling, _ in wanted)
    if not short:
        return [Sentence("met", "Every target is met.")]
    found = [Sentence("short", f"{short} short of all targets.")]
    ahead = [
        f"{name.lower()} {int(forecast.short[1])}"
        for name, filling, forecast in wanted
        if forecast is not None and filling.short
    ]
    if ahead:
        end = date_format(wanted[0][1].frame.weeks.ends_on)
        found.append(Sentence("forecast_short", f"Forecast on {end}: {', '.join(ahead)} short."))
    return found


def beside_coverage(found: SeasonRows) -> list[Sentence]:
    """Return why coverage may ask for more fish than these pages do."""
    if not found.has_sexes:
        return []
    words = "Minimums by sex are not counted here: Coverage may ask for more fish."
    return [Sentence("without_sexes", words)]


def pace(filling: Filling) -> list[Sentence]:
    """Return the fish so far against an even pace and last season."""
    frame, wanted = filling.frame, filling.wanted
    if wanted is None:
        return [Sentence("no_targets", "No targets in these length bins, so nothing is short.")]
    filled = wanted.total - filling.short
    if frame.closed:
        found = [Sentence("at_end", f"{filled} of {wanted.total} collected.")]
        last = last_filled_by_now(filling)
        if last is not None:
            found.append(Sentence("last", f"{frame.last_name}: {last}, against the same targets."))
        return found
    if not frame.now:
        start = date_format(frame.weeks.starts_on)
        return [Sentence("not_begun", f"The season begins on {start}. {wanted.total} are wanted.")]
    even = round(wanted.total * frame.weeks.even_share(frame.today))
    words = f"{filled} of {wanted.total} collected; an even pace is {even} by today"
    last = last_filled_by_now(filling)
    before = f", and {frame.last_name} had {last}" if last is not None else ""
    return [Sentence("pace", f"{words}{before}.")]


def refusal(code: str) -> Sentence:
    """Return why there is no forecast, and what makes one."""
    if code == "few_weeks":
        words = (
            f"Too early for a forecast: it takes {FEWEST_WEEKS} full weeks of this season, or last "
            f"season with {FEWEST_FISH} dated fish."
        )
        return Sentence(code, words)
    words = f"Too few fish for a forecast: it takes {FEWEST_FISH}, of this season or the last."
    return Sentence(code, words)


def methods(frame: Frame, fillings: list[Filling]) -> list[Sentence]:
    """Return how the figures were made, and how often such an interval is right."""
    found = [
        Sentence(
            "counted",
            "Collected: with a vial, or imported with an age; by day of catch. Fish beyond a bin's "
            "number fill no other bin. Fish without a date count from the first day.",
        ),
        Sentence(
            "short",
            "Short: fish still to collect for lake targets and arm minimums, read or not. Coverage "
            "counts aged fish unless you choose otherwise.",
        ),
    ]
    if frame.last_name:
        words = (
            f"{frame.last_name} is laid over by day of the year and held against the targets "
            "of this season."
        )
        found.append(Sentence("last", words))
    if not any(one.wanted for one in fillings) or frame.closed:
        return found
    from_last = any(one.weeks_of_last for one in fillings)
    source = (
        f"the same weeks of {frame.last_name}, scaled by the catch of this season so far"
        if from_last
        else "the full weeks of this season so far"
    )
    found += [
        Sentence(
            "forecast",
            f"Forecast: each week to come is drawn 1,000 times from {source} (Bayesian bootstrap, "
            "Rubin 1981). Its fish go to arms and lengths as the known fish did.",
        ),
        Sentence(
            "interval", "The interval runs from 5% to 95% of the draws. " + _coverage(from_last)
        ),
    ]
    return found


def _coverage(from_last: bool) -> str:
    """Return how often the interval held in simulated seasons; a test holds it to that."""
    if from_last:
        return (
            "In simulated seasons it held the true shortfall in 80% to 87%, and in 72% where last "
            "season brought half as many fish."
        )
    return (
        "In simulated seasons of steady catch it held the true shortfall in 67% after 8 weeks and "
        "79% after 12. Where catch falls off, it held 56%: the true shortfall is larger."
    )
