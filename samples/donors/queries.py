"""Donors of a lake, what they gave, and the pictures and mails that are theirs."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from samples.models import (
    Donor,
    DonorAddress,
    DonorMail,
    DonorMessage,
    Fish,
    Lake,
    Membership,
    Photo,
    Picture,
    Season,
)

_STANDS = Q(fish__withdrawn=False)


def _is_aged(path: str = "") -> Q:
    """Return the condition that a fish has an age, as its donor is told it."""
    by_readers = Q(**{f"{path}age__age_years__isnull": False})
    return by_readers | Q(**{f"{path}age_as_given__isnull": False})


def donors_of(lake: Lake) -> QuerySet[Donor]:
    """Return the donors of a lake with how much they gave, by name, those forgotten last."""
    return (
        Donor.objects.filter(lake=lake)
        .select_related("person", "address")
        .annotate(
            given=Count("fish", filter=_STANDS),
            aged=Count("fish", filter=_STANDS & _is_aged("fish__")),
        )
        .order_by("forgotten_at", "name", "pk")
    )


def donated_in(donor: Donor, season: Season) -> QuerySet[Fish]:
    """Return the fish that a donor gave in a season, in the order of their days."""
    found = Fish.objects.filter(donor=donor, lake=donor.lake_id, season=season, withdrawn=False)
    joined = found.select_related("species", "vial", "arm", "season", "age", "age_as_given")
    return joined.order_by("caught_on", "pk")


@dataclass(frozen=True, slots=True)
class SeasonGiven:
    """A season in which a donor gave fish."""

    season: Season
    given: int
    aged: int


def seasons_of(donor: Donor) -> list[SeasonGiven]:
    """Return the seasons in which a donor gave fish, the last first."""
    counted = (
        Fish.objects.filter(donor=donor, withdrawn=False)
        .order_by()
        .values_list("season")
        .annotate(given=Count("pk"), aged=Count("pk", filter=_is_aged()))
    )
    by_season = {pk: (given, aged) for pk, given, aged in counted}
    seasons = Season.objects.filter(pk__in=by_season).order_by("-starts_on")
    return [SeasonGiven(season, *by_season[season.pk]) for season in seasons]


def shared_picture(fish: QuerySet[Fish], pk: int) -> Picture | None:
    """Return the newest otolith picture of one of these fish, if its lake shares pictures."""
    found = Picture.objects.filter(
        kind=Picture.Kind.OTOLITH, lake__shares_pictures=True, vial__fish__in=fish.filter(pk=pk)
    )
    return found.order_by("-uploaded_at", "-pk").first()


def photos_of(donor: Donor) -> QuerySet[Photo]:
    return Photo.objects.filter(fish__donor=donor)


def addresses_to_mail(lake: Lake) -> QuerySet[DonorAddress]:
    """Return the addresses of a lake's donors who asked for mail and did not stop it."""
    return DonorAddress.objects.filter(
        donor__lake=lake, donor__forgotten_at__isnull=True, stopped_at__isnull=True
    ).order_by("pk")


@dataclass(frozen=True, slots=True)
class MessageSent:
    """A message, and how its mails stand: how many in each state, with the words for it.

    ``new`` counts the addresses that it was not mailed to, ``unanswered`` the mails of which no
    sender told whether they went.
    """

    message: DonorMessage
    mails: list[tuple[str, int]]
    problems: list[str]
    to_send: int
    new: int
    unanswered: int


# Whoever still has a mail in hand hears from its server long before that.
ANSWERED_WITHIN = timedelta(minutes=10)


def unanswered(now: datetime) -> Q:
    """Return the condition that a mail was handed over and its sender died without a word."""
    return Q(state=DonorMail.State.SENDING, tried_at__lt=now - ANSWERED_WITHIN)


def messages_of(lake: Lake, *, now: datetime) -> list[MessageSent]:
    """Return the messages of a lake, the last first, with how their mails stand."""
    found = DonorMessage.objects.filter(lake=lake).select_related("posted_by", "withdrawn_by")
    return [_with_mails(message, now) for message in found.order_by("-posted_at", "-pk")[:SHOWN]]


SHOWN = 20


def _with_mails(message: DonorMessage, now: datetime) -> MessageSent:
    state = DonorMail.State
    wanted = Q(address__stopped_at__isnull=True)
    # Of a donor who stopped all mail nothing waits, and nothing is sent again.
    stopped = Q(state=state.QUEUED) & ~wanted
    counts = message.mails.aggregate(
        **{f"of_{one}": Count("pk", filter=Q(state=one) & ~stopped) for one in state},
        stopped=Count("pk", filter=stopped),
        to_send=Count("pk", filter=wanted & Q(state__in=[state.QUEUED, state.FAILED])),
        unanswered=Count("pk", filter=wanted & unanswered(now)),
    )
    labels = [(str(one.label), counts[f"of_{one}"]) for one in state]
    labels.append(("Stopped by the donor", counts["stopped"]))
    problems = message.mails.filter(state=state.FAILED).values_list("problem", flat=True)
    return MessageSent(
        message,
        [(label, count) for label, count in labels if count],
        sorted(set(problems.order_by())),
        counts["to_send"],
        addresses_to_mail(message.lake).exclude(mails__message=message).count(),
        counts["unanswered"],
    )


def other_roles_of(donor: Donor) -> list[Membership]:
    """Return the roles for which the account of a donor is needed still: all but guide here."""
    if donor.person is None:
        return []
    guide_here = Q(lake=donor.lake_id, role=Membership.Role.GUIDE)
    return list(donor.person.memberships.exclude(guide_here).select_related("lake"))


def has_vials_in_hand(donor: Donor) -> int:
    """Count the vials that the office handed to a donor and that are not used."""
    if donor.person is None:
        return 0
    return donor.person.vials_in_hand.filter(state="issued", lake=donor.lake_id).count()


def with_same_name(donor: Donor) -> QuerySet[Donor]:
    """Return the other donors of this name at the lake: the same person, perhaps."""
    if not donor.name:
        return Donor.objects.none()
    same = Donor.objects.filter(lake=donor.lake_id, name__iexact=donor.name)
    gave = Fish.objects.filter(donor=OuterRef("pk"), withdrawn=False)
    return same.exclude(pk=donor.pk).annotate(has_fish=Exists(gave))
