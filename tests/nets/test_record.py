"""A net set typed in from the crew's sheet: what is kept, and what is said of bad input."""

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.models import Fish, LengthCount, Party, read_revision
from tests.nets.conftest import BACKEND
from tests.people import INCH, NOW
from tests.shown import error_codes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _on_a_day_of_the_season(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


def test_counts_and_lengths_of_a_set_are_kept(send, sheet_of, brindle, clerk):
    answer = send(sheet_of(bins={7: 12, 8: 3}, lengths="9.1 9.4"))

    assert answer.status_code == 302
    [party] = Party.objects.all()
    assert (party.arm, party.reach.name, party.net_nights, party.net_mesh_mm) == (
        brindle, "Lower", 2, 13,
    )  # fmt: skip
    assert (party.method, party.how_chosen, party.opened_by) == ("trap_net", "every_fish", clerk)
    assert party.closed_at is not None
    counts = LengthCount.objects.order_by("from_hundredths_mm")
    assert [(one.from_hundredths_mm, one.count) for one in counts] == [
        (7 * INCH, 12), (8 * INCH, 3),
    ]  # fmt: skip
    fish = Fish.objects.order_by("length_hundredths_mm")
    assert [(one.length_as_measured, one.vial, one.method, one.sex) for one in fish] == [
        ("9.1", None, "trap_net", "U"), ("9.4", None, "trap_net", "U"),
    ]  # fmt: skip


def test_the_same_page_sent_twice_is_one_set(send, sheet_of, lake):
    typed = sheet_of(bins={7: 12}, lengths="9.1")
    send(typed)
    before = read_revision(lake.pk)

    assert send(typed).status_code == 302
    assert (Party.objects.count(), Fish.objects.count(), LengthCount.objects.count()) == (1, 1, 1)
    assert read_revision(lake.pk) == before


def test_the_same_page_with_other_values_is_no_second_set(send, sheet_of):
    typed = sheet_of(bins={7: 12})
    send(typed)

    answer = send(typed | {"net_nights": "3"})

    assert error_codes(answer) == {"__all__": ["entry_changed"]}
    assert Party.objects.get().net_nights == 2


@pytest.mark.parametrize(
    ("bins", "lengths"), [({7: 13}, "9.1 9.4"), ({}, "9.1 9.4"), ({7: 12}, "9.1")]
)
@pytest.mark.parametrize("more", [False, True])
def test_the_same_page_with_another_catch_is_refused(send, sheet_of, bins, lengths, more):
    sent_first, sent_again = (
        sheet_of(bins={7: 12}, lengths="9.1 9.4"),
        sheet_of(bins=bins, lengths=lengths),
    )
    if more:
        sent_first, sent_again = sent_again, sent_first
    send(sent_first)
    kept = list(LengthCount.objects.values_list("count")), Fish.objects.count()

    answer = send(sent_again | {"request_id": sent_first["request_id"]})

    assert error_codes(answer) == {"__all__": ["entry_changed"]}
    assert (list(LengthCount.objects.values_list("count")), Fish.objects.count()) == kept


def test_an_empty_net_is_a_set(send, sheet_of):
    assert error_codes(send(sheet_of())) == {"empty": ["no_catch"]}
    assert error_codes(send(sheet_of(bins={7: 1}, empty="on"))) == {"empty": ["catch_of_empty"]}
    assert send(sheet_of(empty="on")).status_code == 302
    assert (Party.objects.count(), LengthCount.objects.count()) == (1, 0)


@pytest.mark.parametrize(
    ("changed", "codes"),
    [
        ({"station": ""}, {"station": ["required"]}),
        ({"station": "999-0"}, {"station": ["invalid_choice"]}),
        ({"lifted_on": "2026-05-07"}, {"lifted_on": ["date_in_future"]}),
        ({"lifted_on": "2019-05-05"}, {"lifted_on": ["date_out_of_season"]}),
        ({"method": "gill_net"}, {"method": ["invalid_choice"]}),
        ({"net_nights": "0"}, {"net_nights": ["min_value"]}),
        ({"net_nights": "two"}, {"net_nights": ["invalid"]}),
        ({"net_mesh_mm": "900"}, {"net_mesh_mm": ["max_value"]}),
        ({"request_id": "x"}, {"request_id": ["invalid"]}),
    ],
)
def test_bad_facts_of_a_set_are_said_beside_their_field(send, sheet_of, changed, codes):
    answer = send(sheet_of(bins={7: 12}, **changed))

    assert (answer.status_code, error_codes(answer)) == (422, codes)
    assert 'value="12"' in answer.content.decode()
    assert not Party.objects.exists()


@pytest.mark.parametrize(
    ("bins", "lengths", "codes"),
    [
        ({7: "many"}, "", ["invalid"]),
        ({7: -1}, "", ["min_value"]),
        ({7: 9_999}, "", ["max_value"]),
        ({}, "9.1 nine", ["not_a_length"]),
        ({}, "9.1 91", ["missing_point"]),
        ({}, "9.1 " * 301, ["too_many_lengths"]),
    ],
)
def test_bad_catch_is_said_beside_its_box(send, sheet_of, bins, lengths, codes):
    answer = send(sheet_of(bins=bins, lengths=lengths))

    [said] = error_codes(answer).values()
    assert (answer.status_code, said) == (422, codes)
    assert not Party.objects.exists()


def test_an_unusual_length_is_kept_once_it_is_said_to_be_right(send, sheet_of):
    asked = send(sheet_of(lengths="13.4"))

    assert list(error_codes(asked).values()) == [["length_out_of_range"]]
    assert 'name="right"' in asked.content.decode()
    assert send(sheet_of(lengths="13.4", right="on")).status_code == 302
    assert Fish.objects.get().length_as_measured == "13.4"


def test_the_next_set_starts_from_the_last_one(send, sheet_of, client, lake):
    send(sheet_of(bins={7: 1}, net_nights="4", net_mesh_mm="19"))

    form = client.get(reverse("nets:record", args=[lake.slug])).context["form"]

    assert (form["net_nights"].value(), form["net_mesh_mm"].value()) == (4, 19)
    assert form["station"].value() in (None, "")


def test_a_guide_finds_no_such_form(client, lake, guide):
    client.force_login(guide, backend=BACKEND)

    assert client.get(reverse("nets:record", args=[lake.slug])).status_code == 403


@pytest.fixture
def delete(client, lake, biologist):
    """Delete a net set as the biologist."""

    def send(party):
        client.force_login(biologist, backend=BACKEND)
        return client.post(reverse("nets:delete", args=[lake.slug, party.pk]))

    return send


def test_a_deleted_set_counts_nowhere_and_stays_on_record(send, sheet_of, delete, biologist, clerk):
    send(sheet_of(bins={7: 12}, lengths="9.1"))
    party = Party.objects.get()

    assert delete(party).status_code == 302

    party.refresh_from_db()
    fish = Fish.objects.get()
    assert (party.net_nights, fish.withdrawn, LengthCount.objects.count()) == (None, True, 0)
    assert fish.history.first().history_user == biologist
    assert LengthCount.history.filter(history_type="-").get().count == 12
    assert party.opened_by == clerk
    assert delete(party).status_code == 404


def test_a_set_with_vials_is_not_deleted(net_set, delete, vials):
    party = net_set([7.2])
    Fish.objects.update(vial=vials[0], progress=1)

    assert delete(party).status_code == 422
    assert not Fish.objects.get().withdrawn
