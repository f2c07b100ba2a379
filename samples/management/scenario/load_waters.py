"""Put the lake of the scenario into the database: its waters, people, rules and targets."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from samples.accounts.services import add_person
from samples.management.scenario.programme import PEOPLE, REGULATIONS, SEASONS, TARGETS
from samples.management.scenario.surveys import (
    BASIN_SURVEY,
    CREEL_REPORT,
    DEADLY_ARM,
    DEADLY_PERCENT,
    KILL_STUDY,
    OLDER_NATURAL_DEATH,
    OLDER_SURVEY,
    OLDEST_YEARS,
    RELEASE_DEATH,
    RELEASE_STUDY,
    TAGGING,
    TAGGING_REPORT,
    creel_in_season,
    draw_tag_returns,
    natural_death_percent,
)
from samples.management.scenario.truth import (
    ARMS,
    CRAPPIES,
    LAKE,
    LENGTH_UNIT,
    SPECIES,
    TIME_ZONE,
    TODAY,
    WHITE,
    SimulatedTarget,
)
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
from samples.waters.services import (
    add_creel_figures,
    add_natural_death,
    add_release_death,
    add_tag_returns,
    load_catalogue,
)

NOT_SURE_AFTER_SPECIES = "crappie-not-sure"


def load_species() -> dict[str, Species]:
    """Load the catalogue, with the ranges that this lake's fish are drawn from."""
    known = load_catalogue()
    for truth in SPECIES:
        species = known[truth.code]
        species.plausible_min_hundredths_mm = truth.plausible_from_hundredths_mm
        species.plausible_max_hundredths_mm = truth.plausible_to_hundredths_mm
        # The oldest fish drawn here are younger than fish of the species can be elsewhere.
        oldest = max(truth.plausible_max_age_yr, species.plausible_max_age_years)
        species.plausible_max_age_years = oldest
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
            targets_by_sex=any(one.of_each_sex for one in TARGETS if one.species == code),
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
            carcass_note="Into the bins at the fish cleaning station.",
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
                **({} if arm else _parts_of(target)),
            )


def _parts_of(target: SimulatedTarget) -> dict[str, int]:
    """Return what of a lake target nets and each sex are to bring."""
    sex = target.of_each_sex
    return {"from_nets": target.from_nets, "females": sex, "males": sex}


def make_figures(
    lake: Lake,
    seasons: dict[int, Season],
    species: dict[str, Species],
    *,
    actor: User,
    at: Callable[[date], datetime],
) -> None:
    """Enter what other surveys found, each on the Monday that follows its day."""
    _make_deaths(lake, species, actor=actor, now=at(date(2024, 1, 15)))
    arms = {arm.name: arm for arm in Arm.objects.filter(lake=lake)}
    came_back = draw_tag_returns()
    for place, (year, season) in enumerate(sorted(seasons.items())):
        day = min(season.ends_on, TODAY)
        message: dict[str, Any] = {
            "season": season,
            "species": species[WHITE],
            "as_of": day,
            "actor": actor,
            "now": at(day + timedelta(days=(7 - day.weekday()) % 7)),
        }
        for truth in ARMS:
            add_tag_returns(
                lake,
                arm=arms[truth.name],
                source=f"{TAGGING_REPORT}, {year}",
                tags_out=TAGGING.tags_out[place],
                returned=came_back[truth.name, place],
                reporting_least=_share(TAGGING.reporting_least * 100),
                reporting_most=_share(TAGGING.reporting_most * 100),
                tags_kept=_share(TAGGING.tags_kept * 100),
                survived_tagging=_share(TAGGING.survived * 100),
                **message,
            )
            found = creel_in_season(truth.name, place)
            add_creel_figures(
                lake,
                arm=arms[truth.name],
                source=f"{CREEL_REPORT}, {year}",
                angler_hours=found.angler_hours,
                caught=round(found.angler_hours * found.caught_per_hour),
                released=_share(found.released * 100),
                smallest_kept_hundredths_mm=truth.stock(WHITE).keep_from_hundredths_mm,
                **message,
            )


def _make_deaths(lake: Lake, species: dict[str, Species], *, actor: User, now: datetime) -> None:
    deadly = lake.arms.get(name=DEADLY_ARM)
    told: list[tuple[str, date, str, Arm | None, tuple[int, int, int]]] = [
        (OLDER_SURVEY, date(2008, 12, 31), WHITE, None, OLDER_NATURAL_DEATH)
    ]
    told += [
        (BASIN_SURVEY, date(2019, 12, 31), truth.code, None, natural_death_percent(truth.code))
        for truth in SPECIES
    ]
    told += [(KILL_STUDY, date(2023, 12, 31), code, deadly, DEADLY_PERCENT) for code in CRAPPIES]
    for source, as_of, code, arm, percent in told:
        least, middle, most = (_share(one) for one in percent)
        add_natural_death(
            lake,
            species=species[code],
            arm=arm,
            source=source,
            as_of=as_of,
            least=least,
            middle=middle,
            most=most,
            oldest_years=OLDEST_YEARS.get(code) if source == BASIN_SURVEY else None,
            actor=actor,
            now=now,
        )
    for release in RELEASE_DEATH:
        least, middle, most = (_share(one) for one in release.percent)
        for code in release.species:
            add_release_death(
                lake,
                species=species[code],
                when=release.when,
                source=RELEASE_STUDY,
                as_of=date(2021, 12, 31),
                least=least,
                middle=middle,
                most=most,
                actor=actor,
                now=now,
            )


def _share(percent: float) -> Decimal:
    return Decimal(round(percent)) / 100
