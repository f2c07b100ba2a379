"""What phones of 0.1.0 send is answered as it was then, and is the same entry as it was then."""

from itertools import islice

import pytest
from django.test import Client

from samples.models import Entry, EntryKind, Fish, HeldEntry
from samples.ramp.entry import KINDS, MOST_IN_A_BATCH, all_specs_of, read
from samples.ramp.entry.held_words import HELD_WORDS
from samples.ramp.services import decide_fish
from tests.upgrade.corpus import FINGERPRINTS, SENDINGS, outcome_of
from tests.upgrade.world import make_world

ENTRIES = [entry for sending in SENDINGS for entry in sending["entries"]]


# Names of variants in the corpus that say the same facts.
ONE_ENTRY = [
    [
        "fish in inches",
        "fish with a word of a later day",
        "fish by another clock",
        "fish whose vial was typed without spaces",
    ],
    ["trip opened, as little as may be", "every fish, though a number was left in the box"],
]


class TestFingerprints:
    @pytest.mark.parametrize("golden", FINGERPRINTS, ids=lambda golden: golden["name"])
    def test_is_what_it_was(self, golden):
        assert read(golden["words"]).fingerprint() == golden["fingerprint"]

    def test_every_kind_is_here_in_several_forms(self):
        kinds = [golden["words"]["kind"] for golden in FINGERPRINTS]

        assert {kind: kinds.count(kind) >= 2 for kind in EntryKind.values} == dict.fromkeys(
            EntryKind.values, True
        )

    def test_what_is_another_entry_has_another_fingerprint(self):
        """Variants that say the same facts share one, as they did then; nothing else does."""
        by_print: dict[str, list[str]] = {}
        for golden in FINGERPRINTS:
            by_print.setdefault(golden["fingerprint"], []).append(golden["name"])

        shared = sorted(names for names in by_print.values() if len(names) > 1)
        assert shared == ONE_ENTRY


class TestAnswers:
    @pytest.mark.django_db
    def test_every_entry_is_answered_as_then(self):
        world = make_world()

        for sending in SENDINGS:
            answers = [outcome_of(result) for result in send_all(world, sending)]
            names = [entry["name"] for entry in sending["entries"]]
            then = [entry["answer"] for entry in sending["entries"]]
            assert dict(zip(names, answers, strict=True)) == dict(zip(names, then, strict=True))
            if sending is SENDINGS[0]:
                world.bring_in()

        # What is kept of them: each fish once, each other entry once, the rest for the office.
        logged = [one for one in ENTRIES if one["answer"]["outcome"] == "logged"]
        fish = [one for one in logged if one["words"]["kind"] == "fish"]
        assert Fish.objects.count() == len(fish) == 9
        assert Entry.objects.count() == len(logged) - len(fish)
        held = {
            (one["words"]["entry_id"], str(sorted(one["words"].items())))
            for one in ENTRIES
            if one["answer"]["outcome"] == "held"
        }
        assert HeldEntry.objects.count() == len(held)

    @pytest.mark.django_db
    def test_an_entry_over_which_the_program_stumbles_is_held_as_then(self, monkeypatch):
        world = make_world()
        monkeypatch.setattr(decide_fish, "ask", lambda facts, species: 1 / 0)
        first_fish = [SENDINGS[0]["entries"][0], SENDINGS[0]["entries"][2]]

        answers = send_all(world, {"by": "guide", "entries": first_fish})

        assert outcome_of(answers[1]) == {"outcome": "held", "reason": "not_foreseen", "errors": []}


class TestNothingForgotten:
    def test_every_outcome_and_every_reason_to_hold_is_here(self):
        answers = [entry["answer"] for entry in ENTRIES]

        assert {one["outcome"] for one in answers} == {
            "logged", "already_logged", "held", "refused",
        }  # fmt: skip
        held = {one["reason"] for one in answers if one["outcome"] == "held"}
        # Held since then: what an office pastes in and nobody is there to be asked about.
        only_pasted = {"needs_answer", "no_vial_number"}
        held_since = {"no_otolith", *only_pasted}
        assert held == HELD_WORDS.keys() - {"not_foreseen"} - held_since

    def test_every_kind_is_logged_here(self):
        logged = {
            entry["words"]["kind"] for entry in ENTRIES if entry["answer"]["outcome"] == "logged"
        }

        assert logged == set(EntryKind.values)

    def test_every_word_that_was_read_then_is_refused_here(self):
        """Each field that a phone of 0.1.0 knows has an entry whose error stands beside it."""
        refused = {name for entry in ENTRIES for name in entry["answer"]["errors"]}
        sent = {name for entry in ENTRIES for name in entry["words"]}

        not_read = {"zone", "signed_in", "app"}
        assert refused == sent - not_read
        # The reader of today still knows them by these names.
        fields = [one for kind in KINDS.values() for one in all_specs_of(kind)]
        known = {one.word for one in fields} | {word for one in fields for word in one.spec.beside}
        assert refused - known == {"kind", "schema"}


def send_all(world, sending):
    """Send entries as the phone does, batch by batch, and return every answer."""
    token = world.tokens[sending["by"]]
    phone = Client(headers={"authorization": f"Token {token}"})
    waiting = iter(entry["words"] for entry in sending["entries"])
    results = []
    while batch := list(islice(waiting, MOST_IN_A_BATCH)):
        body = {"entries": batch}
        answer = phone.post("/api/v1/outbox/", body, content_type="application/json")
        assert answer.status_code == 200
        results += answer.json()["results"]
    return results
