"""Every form and every page with a query, filled with what nobody should type: never a 5xx.

``python -m pytest tests/test_fuzz_forms.py -s`` prints how many were sent and what came back.
"""

import random
import re
from collections import Counter
from urllib.parse import quote

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from samples.accounts.links import make_link
from tests.door_things import things
from tests.doors import AT_LAKE, OF_A_PERSON, address_of
from tests.people import NOW

# Once, and on the database that takes less: it refuses signs that SQLite keeps.
pytestmark = [pytest.mark.once, pytest.mark.long]

__all__ = ["things"]
SENDINGS_A_DOOR = 8
FAILED = 500
FORM = "application/x-www-form-urlencoded"
ODD = [
    *("", " ", "\x00", "\ud83d", "0", "-1", "1", "1.5", "1,5", "10.1", "1e400", "NaN", "Infinity"),
    *(
        "9" * 5_000,
        str(2**31),
        str(2**63),
        "٣",
        "²",
        "½",
        "a" * 5_000,
        "🐟" * 60,
        "<b>&",
        "%",
        "%s",
    ),
    *("'", '"', "\\", "../..", "\r\nX: 1", "2026-02-30", "0001-01-01", "9999-12-31", "2026-05-06"),
    *("12-31", "02-30", "on", "true", "in", "mm", "up", "keep", "number", "wait", "aside", "in "),
    *("white-crappie", "Brindle", "26 0001 8", "2600018", "every_fish", "M", "[]", "{}", "None"),
]
# Names that no page shows in a form of its own.
ALWAYS = ["way", "number", "text", "year", "page", "season", "species", "arm", "next", "confirmed"]
NAME = re.compile(r'\bname="([^"]+)"')
VALUE = re.compile(r'<option value="([^"]*)"|\bvalue="([^"]+)"')


@pytest.fixture
def desk(biologist, lake, things):
    """Somebody who may do everything that a lake's pages offer, and a lake with odd names."""
    odd = "50% %s %(value)s {0} {lake}"
    lake.name = f"Lake {odd}"
    lake.save()
    for row in (lake.arms.get(pk=things["arm"]), lake.seasons.get()):
        row.name = odd
        row.save()
    desk = Client(raise_request_exception=False)
    desk.force_login(biologist)
    return desk


def encoded(fields):
    """Write a form as a browser would, halves of signs included."""
    return "&".join(
        f"{quote(name)}={quote(value.encode('utf-8', 'surrogatepass'))}" for name, value in fields
    )


def filled(page, chance):
    """Fill the fields of a page: each left out, as offered, once odd, or twice."""
    names = sorted({*NAME.findall(page), *ALWAYS} - {"csrfmiddlewaretoken"})
    offered = [one or other for one, other in VALUE.findall(page)] or [""]
    fields = []
    for name in names:
        for _ in range(chance.choice([0, 1, 1, 1, 1, 2])):
            fields.append((name, chance.choice(chance.choice([ODD, ODD, offered]))))
    return encoded(fields)


def doors(things):
    for name, _, names in AT_LAKE:
        yield name, address_of(name, names, things, "lake-orrinbeck")
    for name, _, names in OF_A_PERSON:
        yield name, address_of(name, names, things)
    yield "accounts:sign_in", reverse("accounts:sign_in")
    yield "accounts:this_is_me", things["me"]


def test_no_form_and_no_query_however_filled_is_answered_with_a_failure(
    desk, things, guide, biologist, caplog
):
    caplog.set_level("CRITICAL")
    chance = random.Random(20260506)
    link = make_link(guide, made_by=biologist, good_until=NOW.date(), now=NOW)
    things["me"] = reverse("accounts:this_is_me", args=[link.token])
    counted: Counter[tuple[str, int]] = Counter()
    failed = []

    for name, address in doors(things):
        with transaction.atomic():
            page = desk.get(address).getvalue().decode(errors="replace")
            allowed = desk.generic("TRACE", address).get("Allow", "GET, POST")
            methods = [one for one in ("POST", "POST", "POST", "GET") if one in allowed]
            for turn in range(SENDINGS_A_DOOR):
                words = filled(page, chance)
                method = methods[turn % len(methods)]
                with transaction.atomic():
                    if method == "GET":
                        status = desk.get(f"{address}?{words}").status_code
                    else:
                        status = desk.generic("POST", address, words, FORM).status_code
                    transaction.set_rollback(True)
                counted[method, status] += 1
                if status >= FAILED:
                    failed.append((name, method, words[:2_000]))
            transaction.set_rollback(True)

    print(f"\n{counted.total()} sendings to {len(list(doors(things)))} doors:")
    print(", ".join(f"{m} {status} x {n}" for (m, status), n in sorted(counted.items())))
    assert [(name, method) for name, method, _ in failed] == [], failed[0]
