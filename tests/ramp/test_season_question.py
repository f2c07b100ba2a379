"""A trip dated outside every season: asked about by the phone's interface as on the form."""

import pytest

from samples.models import Party
from tests.ramp import entries
from tests.ramp.taking import outcomes, take

pytestmark = pytest.mark.django_db

OUTSIDE = "2025-12-30"
CODE = "date_out_of_season"


def changed(party, **words):
    said = entries.party(party.party_id, **words)
    said.pop("lake")
    return said | {"kind": "party_changed"}


class TestOpened:
    def test_it_is_asked_about_and_nothing_is_kept(self, guide, lake):
        [answer] = take(guide, entries.party(caught_on=OUTSIDE))

        assert outcomes([answer]) == [("refused", "needs_answer")]
        assert list(answer.errors) == ["caught_on"]
        assert not Party.objects.exists()

    def test_the_answer_is_kept_with_the_trip(self, guide, lake):
        answers = take(guide, entries.party(caught_on=OUTSIDE, confirmed=[CODE]))

        assert outcomes(answers) == [("logged", "")]
        assert Party.objects.get().slip_answers == [CODE]

    def test_an_app_that_asks_by_itself_and_cannot_answer_back_is_taken(self, guide, lake):
        first, second = entries.party(caught_on=OUTSIDE), entries.party(caught_on=OUTSIDE)

        answers = take(guide, first | {"app": 1}, second | {"app": 2})

        assert outcomes(answers) == [("logged", ""), ("refused", "needs_answer")]

    def test_a_date_after_today_is_the_phones_own_to_ask_about(self, guide, lake):
        """Its clock may be wrong, and a clock is no reason to send fish back."""
        answers = take(guide, entries.party(caught_on="2026-05-09"))

        assert outcomes(answers) == [("logged", "")]

    def test_what_was_taken_before_is_not_asked_about_now(self, guide, lake, season):
        said = entries.party(caught_on="2026-01-05")
        take(guide, said)
        season.starts_on = "2026-03-01"
        season.save()

        assert outcomes(take(guide, said)) == [("already_logged", "")]


class TestChanged:
    def test_it_is_asked_about_and_may_be_answered(self, guide, party):
        asked = take(guide, changed(party, caught_on=OUTSIDE))
        old_app = take(guide, changed(party, caught_on=OUTSIDE, app=1))
        answered = take(guide, changed(party, caught_on=OUTSIDE, confirmed=[CODE]))

        assert outcomes([*asked, *old_app, *answered]) == [
            ("refused", "needs_answer"),
            ("logged", ""),
            ("logged", ""),
        ]
        assert str(Party.objects.get().caught_on) == OUTSIDE

    def test_the_form_asks_with_a_button_that_answers(self, client, guide, party):
        client.force_login(guide)
        words = {
            "for_party": party.party_id,
            "arm": "Brindle",
            "caught_on": OUTSIDE,
            "method": "angler_kept",
            "how_chosen": "every_fish",
            "kept": "fresh",
        }

        asked = client.post("/ramp/party/change/", words)
        client.post("/ramp/party/change/", words | {"confirm": CODE})

        assert asked.status_code == 422
        assert f'name="confirm" value="{CODE}"' in asked.content.decode()
        assert str(Party.objects.get().caught_on) == OUTSIDE

    def test_a_date_that_was_answered_for_is_not_asked_about_again(self, guide, lake):
        opened = entries.party(caught_on=OUTSIDE, confirmed=[CODE])
        take(guide, opened, entries.common("party_closed", opened["party_id"]))
        party = Party.objects.get()

        again = take(guide, changed(party, caught_on=OUTSIDE, reopen="yes", kept="frozen"))
        party.refresh_from_db()
        other_day = take(guide, changed(party, caught_on="2025-12-29"))

        assert outcomes([*again, *other_day]) == [("logged", ""), ("refused", "needs_answer")]
        assert (party.closed_at, party.kept) == (None, "frozen")
