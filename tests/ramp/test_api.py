"""The phone's doors: an answer for every entry, whatever else is in the batch."""

import json
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from samples.accounts.links import day_of_links, make_link, make_phone, revoke_link
from samples.accounts.throttles import PerPerson, PerPhone
from samples.models import Fish, HeldEntry, PersonalLink
from tests.people import NOW
from tests.ramp import entries

OUTBOX = "/api/v1/outbox/"
RATES = PerPhone.THROTTLE_RATES


def phone_of(person, link=None):
    token = make_phone(person, now=NOW, link=link).token
    return Client(headers={"authorization": f"Token {token}"}, enforce_csrf_checks=True)


def send(phone, *batch):
    return phone.post(OUTBOX, {"entries": list(batch)}, content_type="application/json")


@pytest.fixture
def phone(guide):
    return phone_of(guide)


class TestOutbox:
    def test_answers_entry_by_entry_and_in_their_order(self, phone, party, vials):
        good = entries.fish(party.party_id, vials[0].number)
        clash = entries.fish(party.party_id, vials[0].number, length="11.2")
        broken = entries.fish(party.party_id, vials[1].number, length="nine")
        unheard_of = {"kind": "weather", "entry_id": "x"}

        answer = send(phone, good, unheard_of, clash, broken)

        assert answer.status_code == 200
        results = answer.json()["results"]
        assert [(r["outcome"], r["reason"]) for r in results] == [
            ("logged", ""),
            ("refused", "unreadable"),
            ("held", "vial_taken"),
            ("refused", "unreadable"),
        ]
        assert [r["entry_id"] for r in results] == [
            good["entry_id"],
            "x",
            clash["entry_id"],
            broken["entry_id"],
        ]
        assert list(results[3]["errors"]) == ["length"]
        assert [str(fish.entry_id) for fish in Fish.objects.all()] == [good["entry_id"]]

    def test_a_batch_sent_again_changes_nothing(self, phone, party, vials):
        batch = [entries.fish(party.party_id, vial.number) for vial in vials[:5]]
        send(phone, *batch)

        again = send(phone, *batch).json()["results"]

        assert {r["outcome"] for r in again} == {"already_logged"}
        assert Fish.objects.count() == 5

    def test_the_phone_is_kept_beside_the_fish(self, phone, party, vials, guide):
        send(phone, entries.fish(party.party_id, vials[0].number))

        assert Fish.objects.get().phone == guide.phones.get()

    @pytest.mark.parametrize(
        ("throttle", "who"), [(PerPhone, "one phone"), (PerPerson, "two phones")]
    )
    def test_far_above_a_real_day_it_says_when_to_send_again(
        self, phone, guide, party, monkeypatch, throttle, who
    ):
        monkeypatch.setattr(throttle, "rate", "2/min", raising=False)
        second = phone if who == "one phone" else phone_of(guide)
        withdrawal = entries.withdrawal(entries.fish(party.party_id, ""))

        answers = [send(one, withdrawal) for one in (phone, second, second)]

        assert [answer.status_code for answer in answers] == [200, 200, 429]
        assert 0 < int(answers[2]["Retry-After"]) <= 60

    def test_another_phone_of_the_same_person_goes_on(self, phone, guide, party, monkeypatch):
        monkeypatch.setattr(PerPhone, "rate", "1/min", raising=False)
        withdrawal = entries.withdrawal(entries.fish(party.party_id, ""))
        send(phone, withdrawal)

        assert send(phone, withdrawal).status_code == 429
        assert send(phone_of(guide), withdrawal).status_code == 200

    def test_the_limit_is_far_above_a_real_day(self):
        """A phone that comes back with 300 fish sends 12 batches at once; 300 if all go alone."""
        rates = {name: int(str(RATES[name]).removesuffix("/min")) for name in ("phone", "person")}

        assert rates["phone"] >= 300
        assert rates["person"] >= 3 * rates["phone"]

    def test_takes_fifty_and_says_so_beyond(self, phone, party):
        one = entries.withdrawal(entries.fish(party.party_id, ""))

        answer = send(phone, *[one | {"entry_id": entries.new_id()} for _ in range(51)])

        assert answer.status_code == 400
        assert list(answer.json()) == ["entries"]

    @pytest.mark.parametrize(
        "headers", [{}, {"authorization": "Token nonsense"}], ids=["none", "unknown"]
    )
    def test_without_a_good_token_it_is_401_and_nothing_is_taken(self, db, headers):
        answer = Client(headers=headers).post(
            OUTBOX, {"entries": [entries.party()]}, content_type="application/json"
        )

        assert answer.status_code == 401
        assert not HeldEntry.objects.exists()

    def test_a_session_is_not_enough(self, client, guide):
        client.force_login(guide)

        answer = client.post(OUTBOX, {"entries": []}, content_type="application/json")

        assert answer.status_code == 401

    @pytest.mark.parametrize(
        ("days_later", "status"), [(0, 200), (60, 200), (61, 401)], ids=["good", "late", "too late"]
    )
    def test_a_link_that_ended_still_sends_what_was_written_before(
        self, guide, biologist, party, vials, days_later, status
    ):
        today = timezone.now().date()
        last_day = day_of_links(timezone.now()) - timedelta(days=days_later)
        made_at = timezone.now() - timedelta(days=90)
        link = make_link(guide, made_by=biologist, good_until=last_day, now=made_at).link
        before = f"{last_day - timedelta(days=1)}T12:31:00-05:00"
        after = f"{today + timedelta(days=2)}T12:31:00-05:00"

        answer = send(
            phone_of(guide, link),
            entries.fish(party.party_id, vials[0].number, written_at=before),
            entries.fish(party.party_id, vials[1].number, written_at=after),
        )

        assert answer.status_code == status
        taken = [vials[0]] if status == 200 else []
        assert [fish.vial for fish in Fish.objects.all()] == taken
        # What was written later waits on the phone for a new link: it has no answer.
        assert len(answer.json().get("results", [])) == len(taken)

    def test_what_was_all_written_after_the_link_ended_asks_for_a_new_link(
        self, guide, biologist, party, vials
    ):
        day = day_of_links(timezone.now()) - timedelta(days=5)
        made_at = timezone.now() - timedelta(days=90)
        link = make_link(guide, made_by=biologist, good_until=day, now=made_at).link
        now = timezone.now().isoformat()

        answer = send(
            phone_of(guide, link), entries.fish(party.party_id, vials[0].number, written_at=now)
        )

        assert answer.status_code == 401
        assert not Fish.objects.exists()

    def test_a_link_that_ended_gives_no_lists(self, guide, biologist):
        made_at = timezone.now() - timedelta(days=90)
        day = day_of_links(timezone.now()) - timedelta(days=1)
        link = make_link(guide, made_by=biologist, good_until=day, now=made_at).link

        assert phone_of(guide, link).get("/api/v1/pick-lists/").status_code == 401

    def test_a_link_that_was_taken_back_sends_nothing_late(self, guide, biologist):
        made_at = timezone.now() - timedelta(days=90)
        day = day_of_links(timezone.now()) - timedelta(days=1)
        link = make_link(guide, made_by=biologist, good_until=day, now=made_at).link
        phone = phone_of(guide, link)
        revoke_link(link, now=timezone.now())

        assert send(phone, entries.party()).status_code == 401

    def test_taking_a_link_back_ends_its_phones(self, guide, biologist):
        day = NOW.date() + timedelta(days=400)
        link = make_link(guide, made_by=biologist, good_until=day, now=NOW).link
        PersonalLink.objects.update(good_until="2999-01-01", made_at=timezone.now())
        phone = phone_of(guide, link)
        before = phone.get("/api/v1/pick-lists/").status_code

        revoke_link(link, now=NOW)

        assert before == 200
        assert phone.get("/api/v1/pick-lists/").status_code == 401

    def test_a_reader_has_nothing_to_send(self, reader):
        assert send(phone_of(reader), entries.party()).status_code == 403

    def test_a_command_makes_a_token_that_works(self, guide, capsys):
        call_command("phone_token", guide.username)

        token = capsys.readouterr().out.strip()
        answer = Client(headers={"authorization": f"Token {token}"}).get("/api/v1/pick-lists/")
        assert answer.status_code == 200


class TestPickLists:
    def test_give_what_the_form_asks_and_the_vials_in_these_hands(self, phone, lake, vials):
        lists = phone.get("/api/v1/pick-lists/").json()

        [listed] = lists["lakes"]
        assert [arm["name"] for arm in listed["arms"]] == ["Brindle", "Cutbank", "Hobbin"]
        assert listed["species"][0]["code"] == "white-crappie"
        assert lists["vials_in_hand"] == sorted(vial.number for vial in vials[:20])

    def test_name_no_lake_where_the_person_has_no_role(self, phone, lake, other_lake):
        lists = phone.get("/api/v1/pick-lists/").content.decode()

        assert "Orrinbeck" in lists
        assert "Tamsin" not in lists


def test_the_schema_names_every_kind_of_entry(client, db):
    schema = client.get("/api/schema/?format=json").json()

    mapping = schema["components"]["schemas"]["Entry"]["discriminator"]["mapping"]
    assert sorted(mapping) == [
        "correction",
        "fish",
        "party_changed",
        "party_closed",
        "party_opened",
        "shift",
        "unmeasured_count",
        "withdrawal",
    ]
    assert schema["openapi"].startswith("3.")
    assert "phoneToken" in json.dumps(schema["paths"]["/api/v1/outbox/"])
