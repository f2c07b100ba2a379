"""A donor's season and a fish of note, put into the words of a card and a certificate."""

from collections.abc import Iterable
from datetime import date

from django.utils.formats import date_format

from samples.donors.parts import Card, CardFish, Certificate, SpeciesCount
from samples.donors.queries import donated_in, seasons_of
from samples.models import Donor, Fish, Lake, Season, Sex
from samples.ramp.queries.compared import LakeFacts, beside_average, facts_of, records_of
from samples.ramp.queries.my_fish import age_of
from samples.units import LengthUnit, to_text

# Many fish may share the oldest age; a card names the first of them.
MOST_OF_NOTE = 5


def card_of(donor: Donor, season: Season, *, today: date) -> Card | None:
    """Return the card of a donor's season, or nothing where they donated no fish in it."""
    fish = list(donated_in(donor, season))
    if not fish:
        return None
    facts = facts_of([donor.lake])[donor.lake_id]
    return Card(
        lake=donor.lake.name,
        season=season.name,
        donor=donor.name,
        as_of=date_format(today),
        counts=tuple(_counts(fish, donor.lake)),
        of_note=tuple(_of_note(fish, facts))[:MOST_OF_NOTE],
        fish=tuple(_line(one, facts) for one in fish),
    )


def certificate_of(fish: Fish, donor: Donor, *, today: date) -> Certificate | None:
    """Return the certificate of a fish, or nothing where it is not of note."""
    age, hatched, _ = age_of(fish)
    titles = records_of(fish, age, facts_of([donor.lake])[donor.lake_id])
    if not titles:
        return None
    facts = [
        ("Species", fish.species.name),
        ("Total length", _length(fish)),
        *([("Age", _years(age))] if age is not None else []),
        *([("Hatched in", str(hatched))] if hatched else []),
        *([("Caught", date_format(fish.caught_on))] if fish.caught_on else []),
        *([("Donated by", donor.name)] if donor.name else []),
    ]
    return Certificate(donor.lake.name, donor.name, tuple(titles), tuple(facts), date_format(today))


def _counts(fish: Iterable[Fish], lake: Lake) -> Iterable[SpeciesCount]:
    by_species: dict[str, list[Fish]] = {}
    for one in fish:
        by_species.setdefault(one.species.name, []).append(one)
    for species, found in sorted(by_species.items(), key=lambda item: (-len(item[1]), item[0])):
        ages = [age for age, _, _ in map(age_of, found) if age is not None]
        yield SpeciesCount(
            species,
            len(found),
            len(ages),
            _years(max(ages)) if ages else "",
            _in_unit(max(one.length_hundredths_mm for one in found), LengthUnit(lake.length_unit)),
        )


def _of_note(fish: Iterable[Fish], facts: LakeFacts) -> Iterable[str]:
    for one in fish:
        age = age_of(one)[0]
        what = f"{_length(one)}, {_years(age)}" if age is not None else _length(one)
        yield from (f"{title}: {what}" for title in records_of(one, age, facts))


def _line(fish: Fish, facts: LakeFacts) -> CardFish:
    age, hatched, _ = age_of(fish)
    return CardFish(
        caught_on=date_format(fish.caught_on, "M j") if fish.caught_on else "",
        species=fish.species.name,
        length=_length(fish),
        # A column of its own says nothing of those whose sex nobody saw.
        sex=fish.sex_in_words if fish.sex in (Sex.FEMALE, Sex.MALE) else "",
        arm=fish.arm.name,
        age=_years(age) if age is not None else "",
        hatched=str(hatched or ""),
        beside=_beside(fish, age, facts),
    )


def _beside(fish: Fish, age: int | None, facts: LakeFacts) -> str:
    """Say how a fish stands beside the average at its age, as short as a column is."""
    whole = beside_average(fish, age, facts)
    return whole.split(" than ")[0] if " than " in whole else ("average" if whole else "")


def _length(fish: Fish) -> str:
    return f"{fish.length_as_measured} {fish.length_unit_as_measured}"


def _in_unit(hundredths: int, unit: LengthUnit) -> str:
    return f"{to_text(hundredths, unit)} {unit}"


def _years(age: int) -> str:
    return "1 year" if age == 1 else f"{age} years"


def fish_of_note(donor: Donor) -> list[tuple[Fish, str]]:
    """Return the fish of a donor that are the longest or oldest of their season, with why."""
    facts = facts_of([donor.lake])[donor.lake_id]
    found = [
        (one, records_of(one, age_of(one)[0], facts))
        for season in seasons_of(donor)
        for one in donated_in(donor, season.season)
    ]
    return [(fish, ". ".join(titles)) for fish, titles in found if titles]
