"""Knows a file again by its fish, whatever it is called today."""

from collections import Counter
from collections.abc import Collection, Iterable
from uuid import UUID

from samples.exchange.services.reader import RowFacts
from samples.models import Entry, EntryKind, Fish, Lake, Season

# A file whose fish are here to this share is the same one, perhaps with some rows put right.
SHARE_OF_THE_SAME_FILE = 0.9
Key = tuple[object, ...]


def known_under_another_name(
    lake: Lake, season: Season, rows: Iterable[RowFacts], own: Collection[UUID]
) -> tuple[str, int]:
    """Find the file, if there is one, from which these very fish were imported before.

    Return its name, and how many of the rows are among its fish; "" and 0 if there is none.
    ``own`` are the fish of this file under its own name: those are known and come in once.
    """
    wanted = Counter(_key_of_row(one) for one in rows)
    sources = dict(
        Entry.objects.filter(
            kind=EntryKind.PARTY_OPENED, party__lake=lake, party__season=season, said__source__gt=""
        ).values_list("party_id", "said__source")
    )
    by_source: dict[str, Counter[Key]] = {}
    fish = Fish.objects.filter(party_id__in=sources, withdrawn=False).values_list(
        "entry_id",
        "party_id",
        "species__code",
        "length_hundredths_mm",
        "sex",
        "arm__name",
        "caught_on",
        "vial_number_said",
        "age_as_given__age_years",
    )
    for entry_id, party_id, *key in fish.iterator():
        if entry_id not in own:
            by_source.setdefault(sources[party_id], Counter())[tuple(key)] += 1
    best, most = "", 0
    for source, there in by_source.items():
        same = sum((wanted & there).values())
        if same > most:
            best, most = source, same
    enough = most and most >= SHARE_OF_THE_SAME_FILE * sum(wanted.values())
    return (best, most) if enough else ("", 0)


def _key_of_row(one: RowFacts) -> Key:
    fish = one.fish
    return (
        fish.species,
        fish.length.hundredths_mm,
        fish.sex,
        one.arm,
        one.caught_on,
        fish.vial.text,
        one.age,
    )
