"""Words as they are typed into the page that logs a fish."""

from uuid import uuid4

LOG = "/ramp/"


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
