"""Who holds which vials, how many of them are used, and when a person was last heard of."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Max, Min, Q

from samples.accounts.selectors import name_of
from samples.models import Fish, Lake, PersonalLink, Phone, Season, User, Vial
from samples.rules.lake_time import local_day


@dataclass(frozen=True, slots=True)
class Holder:
    """One person, and the vials of a season that were issued to them."""

    person_id: int
    name: str
    issued: int
    unused: int
    lost: int
    # The day on which the oldest vial that is still unused was handed over.
    since: date | None
    days: int | None
    seen_at: datetime | None

    @property
    def used(self) -> int:
        return self.issued - self.unused - self.lost


def holders(lake: Lake, season: Season, today: date) -> list[Holder]:
    """List whoever was issued vials of a season, by name."""
    unused = Q(state=Vial.State.ISSUED)
    rows = (
        Vial.objects.filter(lake=lake, season=season, issued_to__isnull=False)
        .exclude(state=Vial.State.VOID)
        .values("issued_to")
        .annotate(
            name=name_of("issued_to__"),
            issued=Count("pk"),
            unused=Count("pk", filter=unused),
            lost=Count("pk", filter=Q(state=Vial.State.LOST)),
            since=Min("issued_at", filter=unused),
        )
        .order_by("name", "issued_to")
    )
    found = list(rows)
    seen = last_seen(lake, [row["issued_to"] for row in found])
    return [
        Holder(
            row["issued_to"],
            row["name"],
            row["issued"],
            row["unused"],
            row["lost"],
            since := local_day(row["since"], lake.time_zone) if row["since"] else None,
            (today - since).days if since else None,
            seen.get(row["issued_to"]),
        )
        for row in found
    ]


def last_seen(lake: Lake, people: list[int]) -> dict[int, datetime]:
    """Return when each person last logged here, or their phone or link was last heard of."""
    asked = (
        Fish.objects.filter(lake=lake, logged_by__in=people)
        .values("logged_by")
        .annotate(at=Max("received_at"))
        .values_list("logged_by", "at"),
        Phone.objects.filter(person__in=people)
        .values("person")
        .annotate(at=Max("last_heard_at"))
        .values_list("person", "at"),
        PersonalLink.objects.filter(person__in=people)
        .values("person")
        .annotate(at=Max("last_used_at"))
        .values_list("person", "at"),
    )
    seen: dict[int, datetime] = {}
    for rows in asked:
        for person, at in rows.order_by():
            if at is not None:
                seen[person] = max(seen.get(person, at), at)
    return seen


def unused_vials(lake: Lake, holder: User, season: Season | None = None) -> list[str]:
    """Return the numbers that a person holds unused, in order: of a season, or of all."""
    held = Vial.objects.filter(lake=lake, issued_to=holder, state=Vial.State.ISSUED)
    if season is not None:
        held = held.filter(season=season)
    return list(held.order_by("number").values_list("number", flat=True))
