"""Words as they are typed into the pages that log a fish, and start and end its trip."""

from uuid import uuid4

LOG = "/ramp/"
OPEN = "/ramp/party/open/"
CLOSE = "/ramp/party/close/"
TRIP = {
    "arm": "Cutbank",
    "caught_on": "2026-05-07",
    "method": "angler_kept",
    "how_chosen": "every_fish",
    "kept": "fresh",
}


def words(vial, **more):
    return {
        "entry_id": str(uuid4()),
        "vial": vial,
        "species": "white-crappie",
        "length": "9.4",
        "sex": "F",
        **more,
    }


def page_of(response):
    return response.content.decode()


def typed_trip(**more):
    return TRIP | {"entry_id": str(uuid4())} | more


def close(ramp, **typed):
    return ramp.post(CLOSE, {"last_number": "", "entry_id": str(uuid4())} | typed)
