"""What a phone could not send, pasted in by the office as text."""

import json

import pytest

from samples.models import Fish, HeldEntry, Party
from tests.people import make_person
from tests.ramp import entries
from tests.ramp.typed import page_of

PASTE = "/lakes/lake-orrinbeck/held/paste/"


def text_of(person, *said):
    lines = [json.dumps({"by": str(person.pk), "entry": words}) for words in said]
    for_eyes = "Earstone: 4 entries of R. Ostrow, not sent from a phone\n1. 26 0001 8, White\n"
    return "\n".join([for_eyes, "For the office, to paste in as it is:", *lines, ""])


@pytest.fixture
def desk(client, office):
    client.force_login(office)
    return client


@pytest.fixture
def said(vials):
    opened = entries.party()
    fish = [entries.fish(opened["party_id"], vial.number) for vial in vials[:3]]
    return [opened, *fish]


def test_each_entry_comes_in_as_of_its_writer_and_once(desk, guide, office, said):
    text = text_of(guide, *said)

    first = desk.post(PASTE, {"text": text})
    again = desk.post(PASTE, {"text": text})

    assert first.status_code == again.status_code == 200
    assert page_of(first).count("Taken in.") == 4
    assert page_of(again).count("It was here already; it counts once.") == 4
    assert {fish.logged_by for fish in Fish.objects.all()} == {guide}
    assert Fish.objects.count() == 3
    assert Party.objects.get().opened_by == guide
    assert {row.history_user for row in Fish.history.all()} == {office}


@pytest.mark.parametrize(
    "mangled",
    [
        lambda text: "\n".join(f"> {line}" for line in text.splitlines()),
        lambda text: text.replace('"', "\u201d"),
        lambda text: text.replace(" ", "\u00a0"),
        lambda text: text.replace('"}}\n{', '"}} {'),
        lambda text: "\n".join(
            line[start : start + 60]
            for line in text.splitlines()
            for start in range(0, max(len(line), 1), 60)
        ),
    ],
    ids=["quoted", "curly", "spaces", "one line", "broken lines"],
)
def test_what_messengers_make_of_it_is_read_all_the_same(desk, guide, said, mangled):
    desk.post(PASTE, {"text": mangled(text_of(guide, *said))})

    assert Fish.objects.count() == 3


def test_an_entry_cut_short_stays_in_the_box_and_the_others_come_in(desk, guide, said):
    text = text_of(guide, *said).rstrip()[:-30]

    page = page_of(desk.post(PASTE, {"text": text}))

    assert Fish.objects.count() == 2
    assert "Part of this entry is missing. Ask for the text again." in page
    box = page.split("<textarea")[1].split("</textarea>")[0]
    assert said[3]["entry_id"] in box
    assert said[2]["entry_id"] not in box


def test_a_clash_is_held_and_says_why(desk, guide, said):
    said.append(entries.fish(said[0]["party_id"], said[1]["vial"], length="11.2"))

    page = page_of(desk.post(PASTE, {"text": text_of(guide, *said)}))

    assert "Held. Another fish is logged against this vial." in page
    assert HeldEntry.objects.get().said_by == guide


def test_nobody_logs_through_the_office_who_may_not_log_here(desk, reader, stranger, said):
    for person in (reader, stranger):
        page = page_of(desk.post(PASTE, {"text": text_of(person, *said)}))

        assert "Whoever wrote it is not set up to log fish here." in page
    assert not Fish.objects.exists()


def test_a_party_of_another_lake_is_left_to_its_own_office(desk, lake, other_lake, said):
    both = make_person(lake, "guide", "B. Oth")
    both.memberships.create(lake=other_lake, role="guide")
    said[0]["lake"] = other_lake.slug

    page = page_of(desk.post(PASTE, {"text": text_of(both, *said)}))

    assert page.count("It is of another lake. Its own office pastes it in.") == 4
    assert not Party.objects.exists()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Paste the text that the phone gave."),
        ("Two fish, both white", "No entry is in this text. Paste all of it, to its last line."),
    ],
)
def test_a_text_without_entries_says_what_to_do(desk, text, sentence):
    answer = desk.post(PASTE, {"text": text})

    assert answer.status_code == 422
    assert sentence in page_of(answer)


def test_a_donors_name_comes_along_unread(desk, clerk, said):
    said[0] |= {"donor_name_veiled": "Sy4gSm9sbA=="}

    page = page_of(desk.post(PASTE, {"text": text_of(clerk, said[0])}))

    assert Party.objects.get().donor.name == "K. Joll"
    assert "Joll" not in page
