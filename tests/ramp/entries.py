"""Entries as a phone writes them, made for tests."""

import itertools
import uuid

_numbers = itertools.count(1)


def new_id():
    return str(uuid.UUID(int=(1 << 100) + next(_numbers), version=4))


def common(kind, party_id):
    return {
        "kind": kind,
        "schema": 1,
        "entry_id": new_id(),
        "party_id": str(party_id),
        "written_at": "2026-05-06T12:31:00-05:00",
    }


def fish(party_id, vial, **words):
    return {
        **common("fish", party_id),
        "vial": vial,
        "species": "white-crappie",
        "length": "9.4",
        "unit": "in",
        "sex": "F",
        **words,
    }


def party(party_id=None, **words):
    return {
        **common("party_opened", party_id or new_id()),
        "lake": "lake-orrinbeck",
        "arm": "Brindle",
        "caught_on": "2026-05-06",
        "method": "angler_kept",
        "how_chosen": "every_fish",
        **words,
    }


def correction(entry, **words):
    return {
        **entry,
        "kind": "correction",
        "about_entry_id": entry["entry_id"],
        "entry_id": new_id(),
        **words,
    }


def withdrawal(entry):
    return {**common("withdrawal", entry["party_id"]), "about_entry_id": entry["entry_id"]}


def shift(party_id, from_vial, by=1):
    return {**common("shift", party_id), "from_vial": from_vial, "by": by}
