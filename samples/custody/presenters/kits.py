"""What a kit card says."""

from collections.abc import Sequence
from datetime import date

from django.utils.formats import date_format

from samples.custody.pdf import KitCard
from samples.models import Lake, Season, User
from samples.ramp.queries.pick_lists import permit_in_words
from samples.rules.vial_number import grouped
from samples.targets.presenters.for_guides import NeededArm, needed_at
from samples.vials.queries import Hand


def kit_card(
    *, lake: Lake, season: Season | None, person: User, hand: Hand, link: str, today: date
) -> KitCard:
    """Return the card of what a person holds, with what is still needed today."""
    return KitCard(
        lake=lake.name,
        season=season.name if season else str(today.year),
        person=str(person),
        vials=tuple(_stretch(one.first, one.last) for one in hand.stretches),
        count=hand.count,
        link=link,
        has_password=person.has_usable_password(),
        needed=tuple(needed_lines(needed_at(lake, today))),
        needed_on=date_format(today),
        permit=_permit(season, today) if season else "",
        possession=season.possession_reminder if season else "",
        carcasses=season.carcass_note if season else "",
        office_phone=lake.office_phone,
    )


def permit_expired(season: Season | None, today: date) -> date | None:
    """Return the day on which the collection permit ran out, where it has."""
    until = season.permit_until if season and season.permit_number else None
    return until if until and until < today else None


def _permit(season: Season, today: date) -> str:
    """Return the permit as it stands on the card; one that ran out is told as such, first."""
    expired = permit_expired(season, today)
    if expired is None:
        return permit_in_words(season)
    return f"EXPIRED {date_format(expired)}. Collection permit {season.permit_number}."


def _stretch(first: str, last: str) -> str:
    return f"{grouped(first)} to {grouped(last)}" if first != last else grouped(first)


def needed_lines(arms: Sequence[NeededArm]) -> list[str]:
    """Return one line an arm: what is still needed of which species."""
    return [f"{arm['arm']}: {'; '.join(words)}." for arm in arms if (words := _of_arm(arm))]


def _of_arm(arm: NeededArm) -> list[str]:
    return [
        f"{one['species'].lower()} {', '.join(_lengths(one['needed']))}"
        for one in arm["species"]
        if one["needed"]
    ]


def _lengths(needed: Sequence[object]) -> list[str]:
    return [f"{one['lengths'][0].lower()}{one['lengths'][1:]} ({one['more']})" for one in needed]  # type: ignore[index]
