"""Reading sessions: blind, saved once, stopped and continued, final once they are ended."""

import threading
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from samples.lab import services
from samples.lab.queries.preparing import vials_to_section
from samples.models import (
    Age,
    Fish,
    Reading,
    ReadingSession,
    ReadingStream,
    ReferenceOtolith,
    SecondReadingRequest,
    SectionRequest,
    SessionPurpose,
    Vial,
)
from tests.lab.making import TODAY, put_in_lab, read
from tests.people import NOW, make_person
from tests.shown import error_codes

LATER = NOW + timedelta(days=1)


@pytest.fixture
def rack(vials, party, white):
    """Return six vials at the lab, each with a white crappie of another length."""
    for place, vial in enumerate(vials[:6]):
        put_in_lab(vial, party, white, inches=8 + place)
    return vials[:6]


def open_one(lake, reader, *, purpose=SessionPurpose.NEXT, seed=3, now=NOW, **choice):
    asked = {"method": "whole", "count": 30, **choice}
    return services.open_session(
        lake=lake,
        reader=reader,
        choice=services.SessionChoice(purpose=purpose, **asked),
        request_id=uuid4(),
        now=now,
        seed=seed,
    )


def say(otolith, *, now=NOW, **facts):
    return services.save_otolith(
        otolith=otolith, facts=services.OtolithFacts(**{"annuli": None, **facts}), now=now
    )


def first_of(session):
    return session.otoliths.order_by("place").first()


def numbers(session):
    return list(session.otoliths.order_by("place").values_list("vial__number", flat=True))


def signed_in(person):
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


def address(name, session, query=""):
    return reverse(f"lab:{name}", args=[session.lake.slug, session.pk]) + query


class TestOpening:
    def test_the_order_is_shuffled_and_follows_from_the_seed(self, rack, lake, reader, biologist):
        session = open_one(lake, reader, seed=3)
        services.close_session(session=session, actor=reader, now=NOW)
        again = open_one(lake, biologist, seed=3)

        assert session.seed == again.seed == 3
        assert numbers(session) == numbers(again)
        assert numbers(session) != sorted(numbers(session))
        assert sorted(numbers(session)) == [vial.number for vial in rack]

    def test_two_readers_get_other_otoliths(self, rack, lake, reader, biologist):
        one, other = open_one(lake, reader, count=4), open_one(lake, biologist, count=4)

        assert (one.otoliths.count(), other.otoliths.count()) == (4, 2)
        assert not set(numbers(one)) & set(numbers(other))

    def test_a_form_sent_twice_opens_one_session(self, rack, lake, reader):
        said = {
            "purpose": "next",
            "count": "6",
            "hidden": "both",
            "species": "all",
            "method": "whole",
            "request_id": str(UUID(int=7)),
        }
        client, page = signed_in(reader), reverse("lab:sessions", args=[lake.slug])

        first, second = client.post(page, said), client.post(page, said)

        session = ReadingSession.objects.get()
        assert first.url == second.url == address("session_vials", session)

    def test_a_second_open_session_is_refused(self, rack, lake, reader):
        open_one(lake, reader, count=2)

        with pytest.raises(services.CannotOpenSession) as refused:
            open_one(lake, reader)

        assert refused.value.code == "open_already"


class TestBlind:
    @pytest.fixture
    def read_before(self, rack, lake, biologist):
        """Return a session of a vial of 13.9 in that another reader gave 9 annuli by hand."""
        vial = rack[0]
        vial.fish.length_hundredths_mm = 13 * 2540 + 254 * 9
        vial.fish.save()
        read(vial, biologist, 9, 1, note="Secret words")
        SecondReadingRequest.objects.create(vial=vial, asked_by=biologist, asked_at=NOW)
        return vial

    def page(self, lake, reader, **hidden):
        session = open_one(lake, reader, purpose=SessionPurpose.HARD, **hidden)
        return signed_in(reader).get(address("session", session)).content.decode()

    @pytest.mark.parametrize("length", [True, False])
    @pytest.mark.parametrize("earlier", [True, False])
    def test_what_is_hidden_is_not_in_the_page(self, read_before, lake, reader, length, earlier):
        page = self.page(lake, reader, length_is_hidden=length, earlier_are_hidden=earlier)

        assert read_before.number[2:6] in page
        assert ("13.9" not in page) is length
        assert ("N. Aubrey" not in page) is earlier
        assert ("9 annuli" not in page) is earlier
        assert "Secret words" not in page

    def test_a_reference_otolith_never_shows_what_was_read(self, read_before, lake, reader):
        ReferenceOtolith.objects.create(
            vial=read_before, age_years=9, kind="known", added_by=reader, added_at=NOW
        )
        session = open_one(lake, reader, purpose=SessionPurpose.REFERENCE, earlier_are_hidden=False)
        page = signed_in(reader).get(address("session", session)).content.decode()

        assert "N. Aubrey" not in page
        assert "9 annuli" not in page

    def test_no_age_is_told_where_it_would_tell_the_length(self, rack, lake, reader):
        session = open_one(lake, reader)
        ask = address("session_age", session, "?place=1&annuli={}&margin=")
        client = signed_in(reader)

        assert client.get(ask.format(0)).json()["age"] is None
        assert client.get(ask.format(4) + "1").json()["age"] == 4

    def test_nobody_opens_the_session_of_another(self, rack, lake, reader, biologist):
        session = open_one(lake, reader)

        assert signed_in(biologist).get(address("session", session)).status_code == 403


class TestSaving:
    @pytest.fixture
    def session(self, rack, lake, reader):
        return open_one(lake, reader)

    def test_sent_twice_in_a_row_it_is_saved_once(self, session, reader):
        client, page = signed_in(reader), address("session", session)
        said = {"place": "1", "annuli": "4", "margin": "1", "readability": "2", "seconds": "21"}

        first, second = client.post(page, said), client.post(page, said)

        reading = Reading.objects.get()
        assert first.url == second.url == f"{page}?place=2"
        assert (reading.annuli, reading.margin, reading.readability) == (4, 1, 2)
        assert (reading.history.count(), first_of(session).history.count()) == (1, 1)
        assert first_of(session).seconds == 21

    def test_an_empty_form_saves_nothing_and_says_so(self, session, reader):
        response = signed_in(reader).post(address("session", session), {"place": "1"})

        assert error_codes(response)["annuli"] == ["no_count"]
        assert not Reading.objects.exists()

    def test_a_likely_slip_is_asked_about_first(self, session, reader):
        client, page = signed_in(reader), address("session", session)
        said = {"place": "1", "annuli": "40", "margin": "1"}

        asked = client.post(page, said)
        assert asked.status_code == 422
        assert not Reading.objects.exists()
        client.post(page, {**said, "confirmed": asked.context["codes"]})
        assert Reading.objects.get().annuli == 40

    def test_one_whose_fish_was_taken_away_meanwhile_is_refused_in_words(self, session, reader):
        Fish.objects.filter(vial=first_of(session).vial).update(vial=None)
        client, page = signed_in(reader), address("session", session)

        assert client.get(page).status_code == 200
        ask = address("session_age", session, "?place=1&annuli=4&margin=1")
        assert client.get(ask).json()["age"] is None
        refused = client.post(page, {"place": "1", "annuli": "4", "margin": "1"})
        assert refused.status_code == 422
        assert error_codes(refused)["__all__"] == ["no_fish"]

    def test_side_light_and_axis_stay_for_the_next(self, session, reader):
        say(first_of(session), annuli=4, margin=1, side="left", light="reflected", axis="sulcus")

        page = signed_in(reader).get(address("session", session, "?place=2"))

        form = page.context["form"]
        assert [form[name].value() for name in ("side", "light", "axis")] == [
            "left",
            "reflected",
            "sulcus",
        ]
        assert Reading.objects.get().axis == "sulcus"

    def test_tomorrow_on_another_machine_it_goes_on_and_corrects(self, session, reader):
        say(first_of(session), annuli=4, margin=1)

        page = signed_in(reader).get(address("session", session))
        say(first_of(session), annuli=5, margin=1, now=LATER)

        assert page.context["otolith"].place == 2
        reading = Reading.objects.get()
        assert (reading.annuli, reading.sitting_on) == (5, TODAY)
        assert [row.annuli for row in reading.history.order_by("history_id")] == [4, 5]

    def test_a_count_is_corrected_to_none_and_stays_on_record(self, session):
        say(first_of(session), annuli=4, margin=1)
        say(first_of(session), cannot_be_read=True)

        assert first_of(session).outcome == "unreadable"
        assert not Reading.objects.exists()
        assert [row.history_type for row in Reading.history.order_by("history_id")] == ["+", "-"]
        say(first_of(session), annuli=5, margin=1)
        assert Reading.objects.get().session_otolith == first_of(session)

    def test_one_that_needs_a_section_waits_for_one(self, session, lake, reader):
        otolith = first_of(session)
        say(otolith, needs_section=True, note="crowded edge")
        services.close_session(session=session, actor=reader, now=NOW)

        whole = open_one(lake, reader, now=LATER)
        services.close_session(session=whole, actor=reader, now=LATER)
        section = open_one(lake, reader, now=LATER, method="section")

        assert otolith.vial.number not in numbers(whole)
        assert otolith.vial.number in numbers(section)
        assert not Reading.objects.exists()

    def test_a_section_is_asked_for_once_and_no_more_when_it_is_taken_back(
        self, session, lake, reader
    ):
        def asked():
            return [(row.vial, len(row.requests)) for row in vials_to_section(reader, lake)]

        otolith = first_of(session)
        say(otolith, needs_section=True, note="crowded edge")
        say(otolith, needs_section=True, note="crowded")
        assert asked() == [(otolith.vial, 1)]
        assert SectionRequest.objects.get().why == "crowded"

        say(otolith, annuli=9, margin=1, needs_section=True)
        assert asked() == [(otolith.vial, 1)]
        assert Reading.objects.get().needs_section
        say(otolith, annuli=9, margin=1)
        assert asked() == []
        say(otolith, needs_section=True)
        assert asked() == [(otolith.vial, 1)]
        say(otolith, annuli=9, margin=1, needs_section=True)
        services.withdraw_reading(reading=Reading.objects.get(), actor=reader, now=LATER)
        assert asked() == []
        assert not first_of(session).needs_section

    def test_a_section_that_was_made_is_not_asked_for_again(self, session, lake, reader):
        otolith = first_of(session)
        say(otolith, needs_section=True)
        services.add_preparation(
            vial=otolith.vial, kind="section", facts={}, actor=reader, now=LATER
        )
        say(otolith, needs_section=True, note="said again")

        assert vials_to_section(reader, lake) == []


class TestEnded:
    @pytest.fixture
    def ended(self, rack, lake, reader):
        session = open_one(lake, reader)
        say(first_of(session), annuli=4, margin=1)
        return services.close_session(session=session, actor=reader, now=NOW)

    def test_a_reading_is_never_changed_after_the_end(self, ended, reader):
        with pytest.raises(services.SessionClosed):
            say(first_of(ended), annuli=5, margin=1)
        signed_in(reader).post(
            address("session", ended), {"place": "1", "annuli": "5", "margin": "1"}
        )
        with pytest.raises(services.CannotWithdrawReading) as refused:
            services.withdraw_reading(reading=Reading.objects.get(), actor=reader, now=NOW)

        assert refused.value.code == "session_closed"
        assert Reading.objects.get().annuli == 4

    def test_asks_first_where_otoliths_are_unread(self, rack, lake, reader):
        session = open_one(lake, reader)
        say(first_of(session), annuli=4, margin=1)
        client, page = signed_in(reader), address("end_session", session)

        asked = client.post(page)
        session.refresh_from_db()
        assert (asked.status_code, session.closed_at) == (422, None)
        assert asked.context["left"] == session.otoliths.count() - 1

        client.post(page, {"confirmed": "unread"})
        session.refresh_from_db()
        assert session.closed_at is not None

    def test_read_again_on_the_same_day_a_new_reading_is_added(self, ended, reader):
        read(first_of(ended).vial, reader, 5, 1)

        assert sorted(Reading.objects.values_list("annuli", flat=True)) == [4, 5]

    def test_what_was_not_read_goes_back_into_the_queue(self, ended, rack, lake, biologist):
        # The one that was read may be drawn for a second reading, and come back as that.
        again = open_one(lake, biologist).otoliths.filter(stream=ReadingStream.FIRST)

        read_once = first_of(ended).vial
        assert set(again.values_list("vial", flat=True)) == {
            vial.pk for vial in rack if vial != read_once
        }


def test_a_reference_reading_tells_no_age(rack, lake, reader, biologist):
    vial = rack[0]
    read(vial, biologist, 4, 1)
    ReferenceOtolith.objects.create(
        vial=vial, age_years=4, kind="consensus", added_by=biologist, added_at=NOW
    )
    session = open_one(lake, reader, purpose=SessionPurpose.REFERENCE)
    say(first_of(session), annuli=6, margin=1)

    assert Reading.objects.get(reader=reader).stream == ReadingStream.REFERENCE
    age = Age.objects.get(fish__vial=vial)
    assert (age.age_years, age.standing, age.readers) == (4, Age.Standing.ONE_READER, 1)
    assert Vial.objects.get(pk=vial.pk).state == Vial.State.READ


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_who_opens_at_once_gets_other_otoliths_while_a_third_reads(rack, lake, reader, biologist):
    second = make_person(lake, "reader", "L. Orme")
    problems = []
    start = threading.Barrier(3)

    def run(work, *args):
        try:
            start.wait(timeout=60)
            work(*args)
        except Exception as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [
        threading.Thread(target=run, args=args)
        for args in [
            (lambda who: open_one(lake, who, count=2), reader),
            (lambda who: open_one(lake, who, count=2), second),
            (read, rack[0], biologist, 4, 1),
        ]
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert problems == []
    one, other = ReadingSession.objects.order_by("pk")
    assert (one.otoliths.count(), other.otoliths.count()) == (2, 2)
    assert not set(numbers(one)) & set(numbers(other))
