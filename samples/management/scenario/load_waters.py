"""Put the lake of the scenario into the database: its waters, people, rules and targets."""

from __future__ import annotations

from datetime import date, timedelta

from samples.accounts.services import add_person
from samples.management.scenario.programme import PEOPLE, REGULATIONS, SEASONS, TARGETS
from samples.management.scenario.truth import ARMS, LAKE, LENGTH_UNIT, SPECIES, TIME_ZONE
from samples.models import (
    Arm,
    Lake,
    LakeSpecies,
    Reach,
    Regulation,
    Season,
    Species,
    Target,
    User,
)
from samples.waters.services import load_catalogue

NOT_SURE_AFTER_SPECIES = "crappie-not-sure"


def load_species() -> dict[str, Species]:
    """Load the catalogue, with the ranges that this lake's fish are drawn from."""
    known = load_catalogue()
    for truth in SPECIES:
        species = known[truth.code]
        species.plausible_min_hundredths_mm = truth.plausible_from_hundredths_mm
        species.plausible_max_hundredths_mm = truth.plausible_to_hundredths_mm
        species.plausible_max_age_years = truth.plausible_max_age_yr
        species.save()
    return known


def make_lake(species: dict[str, Species]) -> Lake:
    """Make the lake with its arms, reaches and the species of its form."""
    lake = Lake.objects.create(
        name=LAKE, slug="lake-orrinbeck", length_unit=LENGTH_UNIT, time_zone=TIME_ZONE
    )
    for position, truth in enumerate(ARMS):
        arm = Arm.objects.create(lake=lake, name=truth.name, position=position)
        for place, reach in enumerate(truth.reaches):
            Reach.objects.create(arm=arm, name=reach.name, position=place)
    codes = [truth.code for truth in SPECIES] + [NOT_SURE_AFTER_SPECIES]
    below = {truth.code: truth.age_0_below_hundredths_mm for truth in SPECIES}
    for position, code in enumerate(codes):
        LakeSpecies.objects.create(
            lake=lake,
            species=species[code],
            position=position,
            age_0_below_hundredths_mm=below.get(code),
        )
    return lake


def make_seasons(lake: Lake, today: date) -> dict[int, Season]:
    """Make the seasons; the last one ends some time after ``today``."""
    last = max(season.year for season in SEASONS)
    made = {}
    for season in SEASONS:
        ends_on = season.ends_on
        if season.year == last:
            ends_on = max(ends_on, today + timedelta(days=60))
        made[season.year] = Season.objects.create(
            lake=lake,
            name=str(season.year),
            number_year=season.year,
            starts_on=season.starts_on,
            ends_on=ends_on,
            permit_number=season.permit_number,
            permit_holder=season.permit_holder,
            permit_until=season.ends_on,
            possession_reminder=season.permit_text[:300],
        )
    return made


def make_people(lake: Lake, password: str) -> dict[str, User]:
    """Add everybody who has an account, staff with the password."""
    people = {}
    for person in PEOPLE:
        if person.has_account:
            staff = person.role != "guide"
            people[person.key] = add_person(
                lake,
                display_name=person.name,
                role=person.role,
                username=person.key if staff else "",
                password=password if staff else "",
            )
    return people


def make_regulations(lake: Lake, species: dict[str, Species]) -> None:
    """Note the rules in force."""
    for regulation in REGULATIONS:
        one = regulation.species[0] if len(regulation.species) == 1 else None
        Regulation.objects.create(
            lake=lake,
            species=species[one] if one else None,
            in_force_from=regulation.in_force_from,
            words=regulation.text,
            minimum_length_hundredths_mm=regulation.minimum_length_hundredths_mm,
            daily_limit=regulation.daily_limit,
        )


def make_targets(lake: Lake, seasons: dict[int, Season], species: dict[str, Species]) -> None:
    """Set what is wanted, lake-wide and arm by arm."""
    arms = {arm.name: arm for arm in Arm.objects.filter(lake=lake)}
    for target in TARGETS:
        wanted: list[tuple[Arm | None, int]] = [(None, target.lake_wide)]
        wanted += [(arms[name], floor) for name, floor in target.floors]
        for arm, number in wanted:
            Target.objects.create(
                season=seasons[target.season_year],
                species=species[target.species],
                arm=arm,
                from_hundredths_mm=target.from_hundredths_mm,
                below_hundredths_mm=target.below_hundredths_mm,
                wanted=number,
            )
