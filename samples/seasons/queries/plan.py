"""What stands on the plan of a season: net sets, donors, vials, people."""

from dataclasses import dataclass

from django.db.models import Count, Q

from samples.models import NET_METHODS, Fish, Lake, Party, Progress, Season, Vial
from samples.models.party import Method
from samples.nets.queries import fish_of_sets, gear_name
from samples.vials.queries.vials import people_who_log

SETS = (Method.TRAP_NET, Method.ELECTROFISHING)


@dataclass(frozen=True, slots=True)
class NetSets:
    """Net sets, or runs of electrofishing, of one arm in one season.

    ``fish_of_nights`` are those of sets with net nights.
    """

    method: str
    arm: str
    sets: int
    net_nights: int
    fish: int
    fish_of_nights: int = 0

    @property
    def per_night(self) -> float | None:
        return self.fish_of_nights / self.net_nights if self.net_nights else None


@dataclass(frozen=True, slots=True)
class DonorsOfArm:
    """Trips that somebody gave fish of, in one arm; no donor is named."""

    arm: str
    donors: int
    trips: int
    fish: int


@dataclass(frozen=True, slots=True)
class Donors:
    """Who gives fish: people and vials at hand, and what came in."""

    people: int
    donors: int
    fish: int
    largest: int
    arms: list[DonorsOfArm]


@dataclass(frozen=True, slots=True)
class VialsAtHand:
    """Printed vials of a season that no fish is in yet."""

    printed: int
    in_office: int
    in_hands: int
    holders: int


def net_sets(lake: Lake, season: Season) -> list[NetSets]:
    """Return the net sets of a season by method and arm, with all fish of them.

    A set that was deleted has neither effort nor fish; fish of a set without net nights are in no
    catch per net night.
    """
    rows = list(
        Party.objects.filter(
            Q(method__in=SETS) | Q(method__in=NET_METHODS, net_nights__gte=1),
            lake=lake,
            season=season,
        )
        .order_by("method", "arm__position", "arm", "pk")
        .values_list("pk", "method", "arm__name", "net_nights")
    )
    fish = fish_of_sets([row[0] for row in rows])
    found: dict[tuple[str, str], NetSets] = {}
    for pk, method, arm, nights in rows:
        caught = fish.get(pk, 0)
        if method in NET_METHODS and not nights and not caught:
            continue
        name = gear_name(method, None)
        one = found.get((name, arm), NetSets(name, arm, 0, 0, 0))
        found[name, arm] = NetSets(
            name,
            arm,
            one.sets + 1,
            one.net_nights + (nights or 0),
            one.fish + caught,
            one.fish_of_nights + (caught if nights else 0),
        )
    return list(found.values())


def donors_of(lake: Lake, season: Season) -> Donors:
    """Count donors, their trips and fish by arm; nobody is named."""
    given = Fish.objects.filter(
        lake=lake,
        season=season,
        donor__isnull=False,
        withdrawn=False,
        progress__gte=Progress.LOGGED,
    ).order_by()
    by_donor = dict(given.values_list("donor").annotate(n=Count("*")))
    by_arm = dict(given.values_list("arm").annotate(n=Count("*")))
    trips = (
        Party.objects.filter(lake=lake, season=season, donor__isnull=False)
        .order_by("arm__position", "arm")
        .values_list("arm", "arm__name")
        .annotate(donors=Count("donor", distinct=True), n=Count("pk"))
    )
    return Donors(
        people=people_who_log(lake).count(),
        donors=len(by_donor),
        fish=sum(by_donor.values()),
        largest=max(by_donor.values(), default=0),
        arms=[DonorsOfArm(name, donors, n, by_arm.get(arm, 0)) for arm, name, donors, n in trips],
    )


def vials_at_hand(lake: Lake, season: Season) -> VialsAtHand:
    """Count the printed vials of a season that are still to be used."""
    found = Vial.objects.filter(lake=lake, season=season).aggregate(
        printed=Count("pk"),
        in_office=Count("pk", filter=Q(state=Vial.State.PRINTED)),
        in_hands=Count("pk", filter=Q(state=Vial.State.ISSUED)),
        holders=Count("issued_to", distinct=True, filter=Q(state=Vial.State.ISSUED)),
    )
    return VialsAtHand(**found)
