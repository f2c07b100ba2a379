"""Two people at once: the race is played out with a lock, not left to luck."""

import threading
import uuid
from datetime import date
from typing import Any

import pytest
from django.db import connection, transaction

from samples.models import LabelPrint, LabelRun, NumberYear, PartSheet, Season, Vial
from samples.vials import queries, services
from tests.people import NOW, make_vials
from tests.vials.numbers import number, numbers_of
from tests.waiting import LONGEST_S, wait_until_somebody_waits_for_a_lock


def beside(act, outcome):
    """Run something in a thread of its own, and note what it gave or raised."""

    def run():
        try:
            outcome.append(act())
        except Exception as problem:
            outcome.append(problem)
        finally:
            connection.close()

    return threading.Thread(target=run)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    def test_two_runs_never_use_the_same_place_of_a_sheet(self, make_run):
        make_run(count=5)
        asked = {"count": 5, "first_position": 6, "sheet_version": 1}
        outcome: list[object] = []
        second = beside(lambda: make_run(**asked), outcome)
        with transaction.atomic():
            make_run(**asked)
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(LONGEST_S)

        [refused] = outcome
        assert isinstance(refused, services.CannotMakeRun)
        assert refused.code == "sheet_changed"
        assert PartSheet.objects.get().used == list(range(1, 11))

    @pytest.mark.parametrize("is_begun", [True, False])
    def test_two_years_on_the_same_stock_never_give_a_sheet_one_version(
        self, season, make_run, is_begun
    ):
        if is_begun:
            make_run(count=5)
        other_year = Season.objects.create(
            lake=season.lake,
            name="2025",
            number_year=2025,
            starts_on=date(2025, 1, 1),
            ends_on=date(2025, 12, 31),
        )
        outcome: list[object] = []
        second = beside(lambda: make_run(season=other_year, count=7), outcome)
        with transaction.atomic():
            make_run(count=6)
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(LONGEST_S)

        assert outcome == [LabelRun.objects.get(season=other_year)]
        sheet = PartSheet.objects.get()
        assert (sheet.used, sheet.version) == (list(range(1, 8)), 3 if is_begun else 2)

    def test_two_runs_never_share_a_number(self, make_run):
        make_run(count=1)
        outcome: list[object] = []
        second = beside(lambda: numbers_of(make_run(count=3)), outcome)
        with transaction.atomic():
            first = numbers_of(make_run(count=3))
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(timeout=LONGEST_S)

        assert first == [number(2), number(3), number(4)]
        assert outcome == [[number(5), number(6), number(7)]]

    def test_a_double_tap_at_the_same_moment_makes_one_run(self, make_run):
        request_id = uuid.uuid4()
        outcome: list[object] = []
        second = beside(lambda: make_run(request_id=request_id), outcome)
        with transaction.atomic():
            NumberYear.objects.get_or_create(year=2026)
            first = make_run(request_id=request_id)
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(timeout=LONGEST_S)

        assert outcome == [first]
        assert Vial.objects.count() == 3

    def test_one_vial_goes_to_one_person(self, lake, season, guide, second_guide, office):
        make_vials(season, first=1, count=2, by=office)
        asked = {"lake": lake, "first": number(1), "last": number(2), "actor": office, "now": NOW}
        outcome: list[object] = []
        second = beside(lambda: services.issue(to=second_guide, **asked), outcome)
        with transaction.atomic():
            services.issue(to=guide, **asked)
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(timeout=LONGEST_S)

        assert [type(each) for each in outcome] == [services.CannotIssue]
        assert set(Vial.objects.values_list("issued_to", flat=True)) == {guide.pk}

    def test_receiving_twice_at_once_is_received_once(self, lake, season, office):
        (vial,) = make_vials(season, first=1, count=1, by=office)
        asked = {"lake": lake, "number": number(1), "actor": office, "now": NOW}
        outcome: list[object] = []
        second = beside(lambda: services.receive(**asked).first_time, outcome)
        with transaction.atomic():
            services.receive(**asked)
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(timeout=LONGEST_S)

        assert outcome == [False]
        assert vial.history.filter(state="received").count() == 1

    def test_labels_asked_for_twice_at_once_are_kept_once(self, make_run):
        run = make_run()
        outcome: list[object] = []
        # Both looked at the row before either had drawn.
        jobs: Any = [queries.print_job(LabelPrint.objects.get(run=run)) for _ in range(2)]
        second = beside(lambda: services.draw_labels(jobs[1]), outcome)
        with transaction.atomic():
            services.draw_labels(jobs[0])
            second.start()
            wait_until_somebody_waits_for_a_lock()
        second.join(LONGEST_S)

        kept = LabelPrint.objects.get().file.name
        assert outcome == [None]
        assert [job.label_print.file.name for job in jobs] == [kept, kept]
