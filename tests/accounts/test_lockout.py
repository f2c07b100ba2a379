"""Guessing passwords, by header chains as real proxies make them.

``python -m pytest tests/accounts/test_lockout.py -s`` prints what each chain came to.
"""

import pytest
from django.test import RequestFactory

from samples.accounts import security_log
from samples.accounts.client_address import client_address, client_network
from samples.models import SecurityEvent
from tests.shown import templates_of

PASSWORD = "pale rings on slate"
PROXY = "172.18.0.5"
ATTACKER, OFFICE = "203.0.113.9", "198.51.100.4"


@pytest.fixture
def staff(office):
    office.set_password(PASSWORD)
    office.save()
    return office


@pytest.fixture(autouse=True)
def behind_one_proxy(settings):
    settings.PROXY_COUNT = 1


def sign_in(client, name, password, chain):
    return client.post(
        "/sign-in/",
        {"username": name, "password": password},
        REMOTE_ADDR=PROXY,
        HTTP_X_FORWARDED_FOR=chain,
    )


# What arrives: header, how many proxies are ours, and who asked.
CHAINS = [
    ("one proxy", "203.0.113.9", 1, "203.0.113.9"),
    ("one proxy, made-up entries before", "1.1.1.1, 8.8.8.8, 203.0.113.9", 1, "203.0.113.9"),
    ("two proxies", "203.0.113.9, 172.18.0.9", 2, "203.0.113.9"),
    ("two proxies, made-up entry before", "1.1.1.1, 203.0.113.9, 172.18.0.9", 2, "203.0.113.9"),
    ("with a port", "203.0.113.9:51344", 1, "203.0.113.9"),
    ("IPv6", "2001:db8:7:1::9", 1, "2001:db8:7:1::9"),
    ("IPv6 with a port", "[2001:db8:7:1::9]:51344", 1, "2001:db8:7:1::9"),
    ("IPv4 as IPv6", "::ffff:203.0.113.9", 1, "203.0.113.9"),
    ("fewer entries than proxies", "203.0.113.9", 2, PROXY),
    ("no header", "", 1, PROXY),
    ("no address in it", "unknown", 1, PROXY),
    ("no proxy of ours: the header is made up", "203.0.113.9", 0, PROXY),
]


@pytest.mark.parametrize(("what", "chain", "count", "address"), CHAINS, ids=[c[0] for c in CHAINS])
def test_the_address_is_the_one_that_our_outermost_proxy_saw(settings, what, chain, count, address):
    settings.PROXY_COUNT = count
    request = RequestFactory().get("/", REMOTE_ADDR=PROXY, HTTP_X_FORWARDED_FOR=chain)

    print(f"{what}: X-Forwarded-For {chain!r}, {count} proxies -> {client_address(request)}")
    assert client_address(request) == address


def test_addresses_of_one_ipv6_network_are_one():
    requests = [
        RequestFactory().get("/", HTTP_X_FORWARDED_FOR=f"2001:db8:7:1::{n}") for n in (1, "ff:9")
    ]

    assert {client_network(request) for request in requests} == {"2001:db8:7:1::"}


def test_guessing_from_elsewhere_does_not_lock_the_person_out(client, staff):
    tries = [sign_in(client, staff.username, "wrong", ATTACKER).status_code for _ in range(9)]

    assert tries == [422] * 7 + [429] * 2
    assert sign_in(client, staff.username, PASSWORD, ATTACKER).status_code == 429
    assert sign_in(client, staff.username, PASSWORD, OFFICE).status_code == 302


def test_a_made_up_entry_does_not_evade_the_lock(client, staff):
    for n in range(8):
        sign_in(client, staff.username, "wrong", f"10.9.8.{n}, {ATTACKER}")

    assert sign_in(client, staff.username, PASSWORD, f"10.1.1.1, {ATTACKER}").status_code == 429


def test_a_made_up_entry_does_not_lock_somebody_elses_address(client, staff):
    for _ in range(8):
        sign_in(client, staff.username, "wrong", f"{OFFICE}, {ATTACKER}")

    assert sign_in(client, staff.username, PASSWORD, OFFICE).status_code == 302


def test_one_address_that_tries_many_names_is_locked_for_all_of_them(client, staff):
    names = [f"name-{n}" for n in range(security_log.MOST_FAILURES)]

    tries = [sign_in(client, name, "wrong", ATTACKER).status_code for name in names]
    locked = sign_in(client, staff.username, PASSWORD, ATTACKER)

    assert set(tries) == {422}
    assert locked.status_code == 429
    assert "accounts/address_locked.html" in templates_of(locked)
    assert locked["Retry-After"] == "3600"
    assert sign_in(client, staff.username, PASSWORD, OFFICE).status_code == 302


def test_an_office_of_ten_with_a_slip_each_is_not_locked(client, staff):
    for n in range(10):
        for _ in range(5):
            sign_in(client, f"name-{n}", "wrong", OFFICE)

    assert sign_in(client, staff.username, PASSWORD, OFFICE).status_code == 302


def test_the_lock_on_an_address_ends_although_it_goes_on_trying(client, staff, monkeypatch):
    monkeypatch.setattr(security_log, "MOST_FAILURES", 3)
    for n in range(6):
        sign_in(client, f"name-{n}", "wrong", ATTACKER)
    wrong = SecurityEvent.objects.filter(kind="wrong_password")

    assert wrong.count() == 3
    assert sign_in(client, staff.username, PASSWORD, ATTACKER).status_code == 429
    for event in wrong:
        event.at -= security_log.FAILURES_WITHIN
        event.save()
    assert sign_in(client, staff.username, PASSWORD, ATTACKER).status_code == 302


def test_the_log_keeps_name_and_address_of_every_try(client, staff):
    sign_in(client, "somebody", "wrong", ATTACKER)
    sign_in(client, staff.username, PASSWORD, OFFICE)

    kept = SecurityEvent.objects.order_by("pk").values_list("kind", "name", "address", "person")
    assert list(kept) == [
        ("wrong_password", "somebody", ATTACKER, None),
        ("signed_in", staff.username, OFFICE, staff.pk),
    ]


def test_the_log_is_the_administrators_and_cannot_be_changed(client, staff, admin_client):
    sign_in(client, "somebody", "wrong", ATTACKER)
    event = SecurityEvent.objects.get()
    page = "/office/admin/samples/securityevent/"

    shown = admin_client.get(page).content.decode()
    client.force_login(staff)

    assert "somebody" in shown
    assert ATTACKER in shown
    assert admin_client.post(f"{page}{event.pk}/delete/", {"post": "yes"}).status_code == 403
    assert client.get(page).status_code == 403
