"""Resolving held entries on their pages, as the office does."""

import re

from tests.ramp.typed import page_of

HELD = "/lakes/lake-orrinbeck/held/"


def ways(desk, held):
    page = page_of(desk.get(f"{HELD}{held.pk}/"))
    return re.findall(r'name="way" value="(\w+)"', page)


def resolve(desk, held, way, **typed):
    return desk.post(f"{HELD}{held.pk}/", {"way": way, **typed})
