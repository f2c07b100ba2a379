"""Look over what donors are asked for and told, and that who was forgotten is."""

from collections.abc import Callable, Iterable, Iterator

from django.db.models import Count, Exists, F, OuterRef, Q

from samples.maintenance.finding import Finding, find_rows
from samples.models import Ask, AskedFish, Donor, DonorAddress, DonorMail

_LISTS = ("list for guides has", "lists for guides have")


def check_asks() -> Iterator[Finding]:
    """Find lists without a line, with an arm of another lake, or with other people than counted."""
    lines = AskedFish.objects.filter(ask=OuterRef("pk"))
    yield from find_rows(
        "ask_without_lines",
        Ask.objects.filter(~Exists(lines)),
        *_LISTS,
        "no line",
        "Send the list again under Ask guides.",
    )
    elsewhere = ~Q(arm__lake=F("ask__season__lake"))
    yield from find_rows(
        "asked_in_another_lake",
        AskedFish.objects.filter(elsewhere, arm__isnull=False),
        "line of a list for guides names",
        "lines of lists for guides name",
        "an arm of another lake",
        "Send the list again under Ask guides.",
    )
    # Lists from before it was noted who was asked name nobody.
    counted = Ask.objects.annotate(named=Count("asked")).filter(named__gt=0)
    yield from find_rows(
        "ask_of_other_people",
        counted.exclude(named=F("people_asked")),
        *_LISTS,
        "another count of people than it names",
        "Restore a backup from before that.",
    )


def check_forgotten() -> Iterator[Finding]:
    """Find donors who were forgotten and whose name, account or address is there again."""
    addresses = DonorAddress.objects.filter(donor=OuterRef("pk"))
    again = ~Q(name="") | Q(person__isnull=False) | Q(Exists(addresses))
    yield from find_rows(
        "forgotten_donor_named",
        Donor.objects.filter(again, forgotten_at__isnull=False),
        "forgotten donor has",
        "forgotten donors have",
        "a name, an account or an address again",
        "Forget each again on the page of donors.",
    )


def check_donor_mails() -> Iterator[Finding]:
    """Find mails of a message to a donor of another lake."""
    yield from find_rows(
        "mail_to_another_lake",
        DonorMail.objects.exclude(address__donor__lake=F("message__lake")),
        "mail goes",
        "mails go",
        "to a donor of another lake than its message",
        "Delete it at /office/admin/.",
    )


DONOR_CHECKS: tuple[Callable[[], Iterable[Finding]], ...] = (
    check_asks,
    check_forgotten,
    check_donor_mails,
)
