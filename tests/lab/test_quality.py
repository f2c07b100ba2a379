"""Second readings, the reference set and the queue, as readers and the biologist meet them."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from samples.findings.queries import readings as compared_queries
from samples.findings.queries.choice import FindingsSelection
from samples.lab import queries, services
from samples.lab.queries import quality, queue
from samples.lab.services.quality import add_reference, ask_for_reading, retire_reference
from samples.models import (
    Fish,
    LakeSpecies,
    Reading,
    ReadingStream,
    ReferenceOtolith,
    SecondReadingDraw,
    SecondReadingRequest,
    SessionPurpose,
    Target,
)
from tests.lab.making import TODAY, make_session, put_in_lab, read
from tests.lab.test_sessions import first_of, numbers, open_one, say
from tests.people import NOW
from tests.shown import error_codes


@pytest.fixture
def rack(vials, party, white):
    """Return ten vials at the lab, all white crappie of 10 in from one arm."""
    for vial in vials[:10]:
        put_in_lab(vial, party, white)
    return vials[:10]


@pytest.fixture
def drawn(rack, lake, biologist):
    """Return the vials that were drawn after the biologist read all of them."""
    for vial in rack:
        read(vial, biologist, 4, 1)
    return [vial for vial in rack if vial.second_reading_draw.is_drawn]


def opened(client, person):
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


class TestDraw:
    def test_the_first_reading_draws_and_the_seed_is_kept(self, drawn, rack, lake):
        plan = lake.second_reading_plan
        draws = SecondReadingDraw.objects.order_by("place")

        assert [one.place for one in draws] == list(range(1, 11))
        # 15 % of 10 is 1.5.
        assert len(drawn) in {1, 2}
        assert {one.percent for one in draws} == {plan.percent} == {15}
        assert plan.seed > 0

    def test_how_hard_a_vial_was_changes_nothing(self, rack, lake, biologist, reader):
        services.set_second_percent(lake=lake, percent=20, actor=biologist, now=NOW)
        for place, vial in enumerate(rack):
            read(vial, reader, 4 + place % 3, 1, readability=1 + place % 3)
        again = list(SecondReadingDraw.objects.values_list("is_drawn", flat=True).order_by("place"))
        Reading.objects.all().delete()
        SecondReadingDraw.objects.all().delete()
        for vial in rack:
            read(vial, reader, 4, 1, readability=1)

        found = SecondReadingDraw.objects.values_list("is_drawn", flat=True).order_by("place")
        assert list(found) == again

    def test_a_percent_outside_10_to_20_is_refused(self, client, lake, biologist):
        page = reverse("lab:set_percent", args=[lake.slug])

        response = opened(client, biologist).post(page, {"percent": "25"})

        assert response.status_code == 422
        assert quality.second_percent(lake) == 15

    def test_otoliths_read_before_there_was_a_draw_are_drawn_when_a_session_opens(
        self, rack, lake, biologist, reader
    ):
        for vial in rack[:6]:
            read(vial, biologist, 4, 1)
        SecondReadingDraw.objects.all().delete()

        open_one(lake, reader)

        assert SecondReadingDraw.objects.count() == 6


class TestStreams:
    def test_a_drawn_vial_is_due_for_others_and_read_blind_it_is_of_the_random_stream(
        self, drawn, lake, reader, biologist
    ):
        assert set(queue.second_readings_due(reader, lake)) == set(drawn)
        assert not queue.second_readings_due(biologist, lake)

        session = open_one(lake, reader, purpose=SessionPurpose.SECOND, earlier_are_hidden=False)
        say(first_of(session), annuli=5, margin=1)

        reading = Reading.objects.get(reader=reader)
        assert reading.stream == ReadingStream.SECOND
        assert reading.earlier_were_hidden
        assert set(numbers(session)) == {vial.number for vial in drawn}

    def test_one_that_saw_what_was_read_is_of_no_stream(self, drawn, reader):
        read(drawn[0], reader, 5, 1, length_was_hidden=False)

        assert Reading.objects.get(reader=reader).stream == ReadingStream.NOT_SAID

    def test_a_hard_one_is_a_stream_of_its_own_and_answers_the_request(
        self, drawn, rack, lake, reader, biologist
    ):
        hard = next(vial for vial in rack if vial not in drawn)
        ask_for_reading(vial=hard, note="crowded", actor=biologist, now=NOW)

        session = open_one(lake, reader, purpose=SessionPurpose.HARD)
        say(first_of(session), annuli=6, margin=1)

        assert numbers(session) == [hard.number]
        assert Reading.objects.get(reader=reader).stream == ReadingStream.HARD
        assert SecondReadingRequest.objects.get().closed_at == NOW


def test_precision_rests_on_the_random_stream_alone(
    rack, lake, season, white, reader, biologist, monkeypatch
):
    """The reader is a year off on every fish that was asked for by hand, and on none drawn."""
    monkeypatch.setattr(compared_queries, "FEWEST_RANDOM", 2)
    services.set_second_percent(lake=lake, percent=20, actor=biologist, now=NOW)
    for vial in rack:
        read(vial, biologist, 4, 1)
    drawn = set(SecondReadingDraw.objects.filter(is_drawn=True).values_list("vial", flat=True))
    for vial in rack:
        if vial.pk not in drawn:
            ask_for_reading(vial=vial, note="", actor=biologist, now=NOW)
        read(vial, reader, 4 if vial.pk in drawn else 5, 1)
    # Both look again later, knowing what the other said: no part of precision.
    first = next(vial for vial in rack if vial.pk in drawn)
    read(first, biologist, 7, 1, sitting_on=TODAY + timedelta(days=2))
    selection = FindingsSelection(LakeSpecies.objects.get(lake=lake, species=white), (season,))

    of_readers = compared_queries.pairs_of(Fish.objects.all(), selection)
    monkeypatch.setattr(compared_queries, "FEWEST_RANDOM", 10)
    without = compared_queries.pairs_of(Fish.objects.all(), selection)

    [pair] = of_readers
    assert (pair.is_random, len(pair.first)) == (True, len(drawn))
    assert pair.first == pair.second == [4] * len(drawn)
    assert [one.is_random for one in without] == [False]


class TestReference:
    @pytest.fixture
    def in_set(self, rack, biologist):
        """Return ten otoliths of known age 4."""
        for vial in rack:
            add_reference(
                vial=vial,
                age_years=4,
                kind="known",
                source="stocked and marked",
                actor=biologist,
                now=NOW,
            )
        return rack

    def read_set(self, lake, reader, wrong=0):
        session = open_one(lake, reader, purpose=SessionPurpose.REFERENCE)
        for otolith in session.otoliths.order_by("place"):
            say(otolith, annuli=5 if otolith.place <= wrong else 4, margin=1)
        return services.close_session(session=session, actor=reader, now=NOW)

    def test_a_reader_is_scored_and_sees_their_own_scores_alone(
        self, in_set, client, lake, reader, biologist
    ):
        self.read_set(lake, reader, wrong=2)
        page = reverse("lab:quality", args=[lake.slug])

        own = opened(client, reader).get(page).context
        assert [one.reader for one in own["scores"]] == [reader]
        assert "reference" not in own
        gate = own["scores"][0].gate
        assert (gate.n, gate.young.right, gate.passes) == (10, 8, None)

        self.read_set(lake, biologist)
        everybody = opened(Client(), biologist).get(page).context["scores"]
        assert [one.reader for one in everybody] == [biologist, reader]
        assert [one.reader for one in opened(client, reader).get(page).context["scores"]] == [
            reader
        ]

    def test_they_are_mixed_in_unseen_and_tell_drift(
        self, in_set, lake, reader, party, white, vials
    ):
        self.read_set(lake, reader)
        for vial in vials[10:20]:
            put_in_lab(vial, party, white)
        session = open_one(lake, reader, count=10)
        [mixed] = session.otoliths.filter(stream=ReadingStream.REFERENCE)
        say(mixed, annuli=6, margin=1)

        [scores] = quality.scores_at(lake, lake.seasons.get(), reader=reader)

        assert session.otoliths.count() == 10
        assert (scores.drift.n_before, scores.drift.n_since) == (10, 1)
        assert [(one.n, one.exact, one.bias) for one in scores.since] == [(1, 0, 2.0)]

    def test_one_without_an_age_is_counted_apart(self, in_set, lake, reader):
        session = open_one(lake, reader, purpose=SessionPurpose.REFERENCE, count=2)
        first, second = session.otoliths.order_by("place")
        say(first, annuli=4, margin=3)
        say(second, cannot_be_read=True)

        [scores] = quality.scores_at(lake, lake.seasons.get(), reader=reader)

        assert (scores.not_aged, scores.gate) == (2, None)

    def test_the_biologist_adds_and_removes(self, client, lake, biologist, rack):
        said = {"vial": rack[0].number, "age_years": "3", "kind": "consensus"}
        page = reverse("lab:add_reference", args=[lake.slug])

        refused = opened(client, biologist).post(page, said)
        client.post(page, {**said, "source": "concert read"})
        row = ReferenceOtolith.objects.get()
        retire_reference(row=row, actor=biologist, now=NOW)

        assert "source" in error_codes(refused)
        assert (row.age_years, row.kind) == (3, "consensus")
        assert not quality.reference_set(lake)


def test_the_queue_takes_short_cells_first_and_leaves_out_what_lies_elsewhere(
    vials, party, white, lake, season, brindle, reader, biologist
):
    long_wait, short_cell, clearing, taken, reference, read_once = vials[:6]
    put_in_lab(long_wait, party, white, inches=8, received_at=NOW - timedelta(days=60))
    put_in_lab(short_cell, party, white, inches=12)
    put_in_lab(clearing, party, white, ready_on=TODAY + timedelta(days=3))
    for vial in (taken, reference, read_once):
        put_in_lab(vial, party, white)
    make_session(lake, biologist, taken)
    add_reference(
        vial=reference, age_years=4, kind="known", source="marked", actor=biologist, now=NOW
    )
    read(read_once, biologist, 4, 1)
    Target.objects.create(
        season=season,
        species=white,
        arm=brindle,
        from_hundredths_mm=12 * 2540,
        below_hundredths_mm=13 * 2540,
        wanted=2,
    )

    queued = list(queue.queue_of(reader, lake, method="whole", today=TODAY))

    assert [one.otolith.number for one in queued] == [short_cell.number, long_wait.number]
    assert [one.fills_floor for one in queued] == [True, False]
    # The grid stays as it was.
    assert queries.vials_to_read(reader, lake).count() == 6
