"""What the lakes tell those who donate there."""

from collections.abc import Iterable
from typing import TypedDict

from samples.accounts.permissions import Permission, lakes_with_permission
from samples.models import DonorMessage, Fish, Lake, Season, User
from samples.ramp.queries.my_fish import OwnFishList
from samples.rules.lake_time import local_day

# Of each lake, the newest first: older ones have been read or never will be.
MOST_SHOWN = 3


class MessageToDonors(TypedDict):
    """A message of a lake. ``on`` is the day it was posted or, where it was changed, edited."""

    lake: str
    text: str
    on: str
    edited: bool


class OwnFishAndMessages(OwnFishList):
    """What a phone is told of its person's fish, and what the lakes tell their donors."""

    messages: list[MessageToDonors]


def messages_to(person: User) -> list[MessageToDonors]:
    """Return what the lakes where a person logs fish tell their donors now."""
    return [
        message
        for lake in lakes_with_permission(person, Permission.LOG_FISH)
        for message in _shown(lake, messages_out(lake))
    ]


def messages_out(lake: Lake) -> list[DonorMessage]:
    """Return the messages of a lake that are not withdrawn, the newest first."""
    found = DonorMessage.objects.filter(lake=lake, withdrawn_at__isnull=True)
    return list(found.order_by("-posted_at", "-pk")[:MOST_SHOWN])


def _shown(lake: Lake, found: Iterable[DonorMessage]) -> list[MessageToDonors]:
    return [
        {
            "lake": lake.name,
            "text": one.text,
            "on": local_day(one.edited_at or one.posted_at, lake.time_zone).isoformat(),
            "edited": one.edited_at is not None,
        }
        for one in found
    ]


def card_seasons(person: User) -> list[Season]:
    """Return the seasons in which a person donated fish of their own, the last first."""
    own = Fish.objects.filter(
        donor__person=person,
        withdrawn=False,
        lake__in=lakes_with_permission(person, Permission.LOG_FISH),
    )
    seasons = Season.objects.filter(pk__in=own.order_by().values("season"))
    return list(seasons.select_related("lake").order_by("-starts_on", "lake__name"))


def mail_lakes(person: User) -> list[Lake]:
    """Return the lakes that mail their donors, of those where a person is one."""
    mailing = Lake.objects.filter(
        pk__in=[lake.pk for lake in lakes_with_permission(person, Permission.LOG_FISH)],
        mails_donors=True,
        donors__person=person,
    )
    return list(mailing.order_by("name"))
