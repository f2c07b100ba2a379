"""What a phone could not send, pasted in by the office as text."""

import json
import subprocess
from pathlib import Path

import pytest

from samples.models import Fish, HeldEntry, Party
from samples.ramp import services
from samples.ramp.entry import read
from tests.people import NOW, make_person
from tests.ramp import entries
from tests.ramp.typed import page_of
from tests.shown import error_codes

WRITES_IT = Path(__file__).with_name("text_of_the_phone.mjs")
PASTE = "/lakes/lake-orrinbeck/held/paste/"


def text_of(person, *said):
    lines = [json.dumps({"by": str(person.pk), "entry": words}) for words in said]
    for_eyes = "Earstone: 4 entries of R. Ostrow, not sent from a phone\n1. 26 0001 8, White\n"
    return "\n".join([for_eyes, "For the office, to paste in as it is:", *lines, ""])


def became(response):
    """Return what became of each entry of the text: outcome and reason."""
    return [(one.outcome, one.reason) for one in response.context["done"]]


def in_the_box(page):
    return page.split("<textarea")[1].split(">", 1)[1].split("</textarea>")[0].strip()


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
    assert became(first) == [("logged", "")] * 4
    assert became(again) == [("already_logged", "")] * 4
    assert {fish.logged_by for fish in Fish.objects.all()} == {guide}
    assert Fish.objects.count() == 3
    assert Party.objects.get().opened_by == guide
    assert {row.history_user for row in Fish.history.all()} == {office}


def test_the_text_that_the_phone_itself_makes_comes_in_whole(desk, clerk, said):
    said[0] |= {"donor_name": "K. Jöll", "reach": "Upper"}
    said.append(entries.withdrawal(said[3]))
    given = json.dumps({"person": str(clerk.pk), "entries": said})
    ran = subprocess.run(
        ["node", str(WRITES_IT)],
        input=given,
        capture_output=True,
        text=True,
        check=True,
        timeout=30,
    )

    answer = desk.post(PASTE, {"text": ran.stdout})

    assert became(answer) == [("logged", "")] * 5
    assert answer.context["missing"] == ""
    assert "26 0003 4" in answer.context["done"][4].summary
    assert Fish.objects.filter(withdrawn=False).count() == 2
    assert Party.objects.get().donor.name == "K. Jöll"


def test_a_withdrawal_says_which_fish_it_takes_back(desk, guide, said):
    desk.post(PASTE, {"text": text_of(guide, *said)})
    unknown = entries.withdrawal(entries.fish(said[0]["party_id"], ""))

    answer = desk.post(PASTE, {"text": text_of(guide, entries.withdrawal(said[2]), unknown)})

    assert became(answer) == [("logged", ""), ("held", "unknown_fish")]
    known, not_here = answer.context["done"]
    assert "26 0002 6" in known.summary
    assert known.summary in page_of(answer)
    assert not_here.why in page_of(answer)


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

    answer = desk.post(PASTE, {"text": text})

    page = page_of(answer)
    assert Fish.objects.count() == 2
    assert became(answer)[3] == ("refused", "cut_short")
    assert answer.context["done"][3].why in page
    assert said[3]["entry_id"] in in_the_box(page)
    assert said[2]["entry_id"] not in in_the_box(page)
    # Four lines for eyes stand above the entries, and this is the fourth of these.
    assert "Line 8: {" in page


def test_a_clash_is_held_and_says_why(desk, guide, said):
    said.append(entries.fish(said[0]["party_id"], said[1]["vial"], length="11.2"))

    answer = desk.post(PASTE, {"text": text_of(guide, *said)})

    page = page_of(answer)
    held = HeldEntry.objects.get()
    assert held.said_by == guide
    assert became(answer) == [("logged", "")] * 4 + [("held", "vial_taken")]
    assert f'href="/lakes/lake-orrinbeck/held/{held.pk}/">' in page
    assert answer.context["done"][4].why in page
    assert "26 0001 8, White crappie 11.2 in, female" in page
    assert in_the_box(page) == ""


def test_a_clash_that_was_settled_since_says_so(desk, guide, office, said):
    said.append(entries.fish(said[0]["party_id"], said[1]["vial"], length="11.2"))
    desk.post(PASTE, {"text": text_of(guide, *said)})
    services.set_aside(HeldEntry.objects.get(), note="Twice", actor=office, now=NOW)

    answer = desk.post(PASTE, {"text": text_of(guide, *said)})

    assert became(answer)[4] == ("settled", "vial_taken")
    assert HeldEntry.objects.get().get_settled_how_display() in page_of(answer)


def test_nobody_logs_through_the_office_who_may_not_log_here(desk, reader, stranger, said):
    for person in (reader, stranger):
        answer = desk.post(PASTE, {"text": text_of(person, *said)})

        assert became(answer) == [("refused", "not_set_up")] * 4
        assert answer.context["done"][0].why in page_of(answer)
        assert said[3]["entry_id"] in in_the_box(page_of(answer))
    assert not Fish.objects.exists()


def test_it_says_who_is_not_set_up_but_not_the_name_of_anybody_from_elsewhere(
    desk, reader, stranger, said
):
    of_the_lake = page_of(desk.post(PASTE, {"text": text_of(reader, *said)}))
    of_another = page_of(desk.post(PASTE, {"text": text_of(stranger, *said)}))

    assert "T. Vesk" in of_the_lake
    assert "O. Quill" not in of_another
    assert f"person {stranger.pk}" in of_another


def test_nothing_changes_at_another_lake_whatever_party_is_named(
    desk, lake, other_lake, said, take_by
):
    """A withdrawal that names no party of either lake reaches a fish of this lake alone."""
    both = make_person(lake, "guide", "B. Oth")
    both.memberships.create(lake=other_lake, role="clerk")
    there = entries.party(lake=other_lake.slug, arm="North")
    fish = entries.fish(there["party_id"], "")
    take_by(both, there, fish)
    strayed = entries.withdrawal(fish) | {"party_id": entries.new_id()}
    opened = entries.party(lake=other_lake.slug, arm="North")
    again = entries.party(opened["party_id"])

    answer = desk.post(PASTE, {"text": text_of(both, strayed, opened, again)})

    assert not Fish.objects.get().withdrawn
    assert not Party.objects.filter(party_id=opened["party_id"], lake=other_lake).exists()
    assert became(answer).count(("refused", "other_lake")) == 1


def test_a_party_of_another_lake_is_left_to_its_own_office(desk, lake, other_lake, said):
    both = make_person(lake, "guide", "B. Oth")
    both.memberships.create(lake=other_lake, role="guide")
    said[0]["lake"] = other_lake.slug

    answer = desk.post(PASTE, {"text": text_of(both, *said)})

    assert became(answer) == [("refused", "other_lake")] * 4
    assert not Party.objects.exists()


@pytest.fixture
def take_by(season, other_lake):
    return lambda person, *said: services.ingest(
        [read(one) for one in said], author=person, now=NOW
    )


def test_curly_quotes_that_were_meant_stay(desk, clerk, said):
    said[0] |= {"interview_key": "the \u201cold\u201d pier"}

    desk.post(PASTE, {"text": text_of(clerk, said[0]).replace("\\u201c", "\u201c")})

    assert Party.objects.get().interview_key == "the \u201cold\u201d pier"


@pytest.mark.parametrize(
    "spoilt",
    ['{"by":' * 60_000, '{"by":' + "9" * 6_000 + "}", '{"by":"1","entry":{"kind":"\\ud800"}}'],
    ids=["nested without end", "a number without end", "half a character"],
)
def test_what_no_phone_wrote_stays_in_the_box(desk, guide, said, spoilt):
    page = page_of(desk.post(PASTE, {"text": f"{text_of(guide, *said)}{spoilt}"}))

    assert Fish.objects.count() == 3
    assert in_the_box(page).startswith("{&quot;by&quot;:")


def test_half_a_character_in_an_entry_spoils_no_page(desk, guide, said):
    said.append(entries.fish(said[0]["party_id"], said[1]["vial"], species="crappie\ud800"))

    answer = desk.post(PASTE, {"text": text_of(guide, *said)})

    assert became(answer) == [("logged", "")] * 4 + [("refused", "unreadable")]


def test_what_was_torn_apart_is_kept_to_its_first_sign(desk, guide, said):
    torn = 'n":"Brindle"}} {"by":"1","ent'

    page = page_of(desk.post(PASTE, {"text": f"{text_of(guide, *said)}{torn}"}))

    assert in_the_box(page).startswith("n&quot;:&quot;Brindle")


def test_a_text_that_came_without_its_end_is_noticed(desk, guide, said):
    whole = text_of(guide, *said)

    part = desk.post(PASTE, {"text": whole.rsplit("\n", 2)[0]})
    all_of_it = desk.post(PASTE, {"text": whole})

    assert part.context["missing"]
    assert part.context["missing"] in page_of(part)
    assert all_of_it.context["missing"] == ""


def test_more_than_can_be_taken_at_once_stays_in_the_box(desk, guide, said, monkeypatch):
    monkeypatch.setattr("samples.ramp.entry.pasted.MOST_ENTRIES", 2)

    first = desk.post(PASTE, {"text": text_of(guide, *said)})
    rest = in_the_box(page_of(first)).replace("&quot;", '"')
    second = page_of(desk.post(PASTE, {"text": rest}))

    assert Fish.objects.count() == 3
    assert became(first)[-1] == ("refused", "too_many")
    assert in_the_box(second) == ""


def test_a_days_text_of_a_creel_is_taken_in_batches(
    desk, clerk, season, office, django_assert_max_num_queries
):
    opened = entries.party()
    fish = [entries.fish(opened["party_id"], "", length=f"9.{n % 10}") for n in range(499)]

    with django_assert_max_num_queries(350):
        answer = desk.post(PASTE, {"text": text_of(clerk, opened, *fish)})

    assert became(answer) == [("logged", "")] * 500
    assert Fish.objects.count() == 499


@pytest.mark.parametrize(("text", "code"), [("", "required"), ("Two fish, both white", "no_entry")])
def test_a_text_without_entries_says_what_to_do(desk, text, code):
    answer = desk.post(PASTE, {"text": text})

    assert answer.status_code == 422
    assert error_codes(answer) == {"text": [code]}


def test_a_donors_name_comes_along_unread(desk, clerk, said):
    said[0] |= {"donor_name_veiled": "Sy4gSm9sbA=="}

    page = page_of(desk.post(PASTE, {"text": text_of(clerk, said[0])}))

    assert Party.objects.get().donor.name == "K. Joll"
    assert "Joll" not in page
