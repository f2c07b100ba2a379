"""Opening, changing and closing a party on its pages."""

import re
from uuid import uuid4

import pytest

from samples.models import Fish, Party
from samples.ramp import services
from tests.ramp.typed import LOG, page_of, words
from tests.shown import error_codes, message_tags, question_codes


class TestParty:
    OPEN = "/ramp/party/open/"

    def test_opens_and_goes_on_to_the_fish(self, client, guide, vials):
        client.force_login(guide)

        response = client.post(
            self.OPEN,
            {
                "lake": "lake-orrinbeck",
                "arm": "Brindle",
                "reach": "Upper",
                "caught_on": "May 6, 2026",
                "method": "angler_kept",
                "how_chosen": "every_fish",
                "kept": "iced",
                "entry_id": str(uuid4()),
                "confirmed": "date_out_of_season,date_in_future",
            },
        )

        assert (response.status_code, response["Location"]) == (302, "/ramp/")
        party = Party.objects.get()
        assert (party.arm.name, party.reach.name, str(party.caught_on)) == (
            "Brindle",
            "Upper",
            "2026-05-06",
        )

    def test_a_future_date_is_asked_about_in_the_lakes_own_day_and_taken_when_confirmed(
        self, client, guide, lake
    ):
        client.force_login(guide)
        typed = {
            "arm": "Brindle",
            "caught_on": "2093-05-06",
            "method": "angler_kept",
            "how_chosen": "every_fish",
            "kept": "fresh",
            "entry_id": str(uuid4()),
        }

        asked = client.post(self.OPEN, typed)
        client.post(self.OPEN, typed | {"confirm": ["date_in_future", "date_out_of_season"]})

        assert question_codes(asked) == ["date_in_future"]
        assert Party.objects.get().slip_answers == ["date_in_future", "date_out_of_season"]

    @pytest.mark.parametrize(
        ("typed", "errors"),
        [
            ({"arm": ""}, {"arm": ["required"]}),
            ({"reach": "Upper", "arm": "Sorrel"}, {"arm": ["invalid_choice"]}),
            ({"caught_on": "yesterday"}, {"caught_on": ["invalid"]}),
            ({"how_chosen": "every_nth"}, {"every_nth": ["unreadable"]}),
        ],
        ids=["no arm", "unknown arm", "no date", "nth of what"],
    )
    def test_bad_input_is_answered_beside_the_field(self, client, guide, typed, errors):
        client.force_login(guide)
        good = {
            "arm": "Brindle",
            "caught_on": "2026-05-06",
            "method": "angler_kept",
            "how_chosen": "every_fish",
            "kept": "fresh",
            "entry_id": str(uuid4()),
        }

        response = client.post(self.OPEN, good | typed)

        assert response.status_code == 422
        assert error_codes(response) == errors
        assert not Party.objects.exists()

    def test_changing_the_arm_asks_whether_it_was_wrong_or_they_moved(self, ramp, party):
        ramp.post(LOG, words("26 0001 8"))
        typed = {
            "arm": "Hobbin",
            "caught_on": "2026-05-06",
            "method": "angler_kept",
            "how_chosen": "every_fish",
            "kept": "fresh",
        }

        asked = page_of(ramp.post("/ramp/party/change/", typed | {"entry_id": str(uuid4())}))
        ramp.post("/ramp/party/change/", typed | {"arm_change": "moved", "entry_id": str(uuid4())})
        ramp.post(LOG, words("26 0002 6"))

        assert re.findall(r'name="arm_change" value="(\w+)"', asked) == ["wrong", "moved"]
        arms = Fish.objects.order_by("pk").values_list("arm__name", flat=True)
        assert list(arms) == ["Brindle", "Hobbin"]

    def test_closing_with_another_count_is_asked_about(self, ramp, party):
        ramp.post(LOG, words("26 0001 8"))
        ramp.post(LOG, words("26 0003 4"))
        typed = {"count_in_hand": "3", "last_number": "0003", "entry_id": str(uuid4())}

        first = ramp.post("/ramp/party/close/", typed)
        then = ramp.post("/ramp/party/close/", typed | {"confirm": "vials_skipped"})
        ramp.post("/ramp/party/close/", typed | {"confirm": ["vials_skipped", "count_differs"]})

        assert question_codes(first) == ["vials_skipped"]
        assert question_codes(then) == ["count_differs"]
        party.refresh_from_db()
        assert party.count_in_hand == 3
        assert party.closed_at is not None

    def test_shift_page_moves_the_run(self, ramp, party):
        for number in ("26 0001 8", "26 0002 6", "26 0003 4"):
            ramp.post(LOG, words(number))

        ramp.post(
            "/ramp/party/shift/",
            {"from_vial": "2600026", "by": "1", "entry_id": str(uuid4())},
        )

        assert [f.vial.sequence for f in Fish.objects.order_by("pk")] == [1, 3, 4]

    def test_a_guide_does_not_count_unmeasured_fish_and_a_clerk_does(
        self, ramp, client, lake, clerk
    ):
        refused = ramp.get("/ramp/party/count/")
        client.force_login(clerk)

        assert refused.status_code == 403
        assert client.get("/ramp/party/count/").status_code == 302


@pytest.fixture
def refused(monkeypatch):
    """Return the service refuses whatever it is given."""
    why = {"kind": ["The lake was closed a moment ago."]}

    def refuse(entries, **_):
        refusal = services.Outcome.REFUSED
        return [services.Answer(one.entry_id, refusal, "closed", why) for one in entries]

    monkeypatch.setattr(services, "ingest", refuse)


PARTY = {
    "arm": "Brindle",
    "caught_on": "2026-05-06",
    "method": "angler_kept",
    "how_chosen": "every_fish",
    "kept": "fresh",
}


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        (
            "/ramp/party/open/",
            PARTY | {"confirm": ["date_in_future", "date_out_of_season"]},
        ),
        ("/ramp/party/change/", PARTY),
        ("/ramp/party/close/", {"count_in_hand": "1"}),
        ("/ramp/party/shift/", {"from_vial": "2600018", "by": "1"}),
        ("/ramp/party/count/", {"species": "white-crappie", "count": "3"}),
    ],
    ids=["open", "change", "close", "shift", "count"],
)
def test_what_is_refused_is_told_beside_what_was_typed_and_never_as_done(
    ramp, party, guide, lake, request, address, typed
):
    guide.memberships.create(lake=lake, role="clerk")
    ramp.post(LOG, words("26 0001 8"))
    ramp.get(LOG)
    request.getfixturevalue("refused")

    answer = ramp.post(address, typed | {"entry_id": str(uuid4())})

    assert answer.status_code == 422
    assert list(error_codes(answer).values()) == [["closed"]]
    assert message_tags(ramp.get(LOG)) == []


def test_a_refused_withdrawal_is_not_told_as_done(ramp, party, request):
    ramp.post(LOG, words("26 0001 8"))
    request.getfixturevalue("refused")

    undo = f"/ramp/fish/{Fish.objects.get().entry_id}/undo/"
    assert message_tags(ramp.post(undo, follow=True))[1:] == ["closed error"]
