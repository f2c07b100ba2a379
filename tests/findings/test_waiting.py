"""A finding that takes longer than a page may: what is shown meanwhile, and how it comes."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from samples.computations import requests
from samples.computations.running import run_computation
from samples.findings import cost
from samples.models import Computation
from tests.findings.conftest import text

pytestmark = pytest.mark.django_db
State = Computation.State


@pytest.fixture
def work(monkeypatch):
    """Return a queue that is worked off when the test says so: work()."""
    monkeypatch.setattr(requests, "enqueue", lambda pk, *, short: "queued")
    # As for what takes long: no page with fish works it out by itself.
    monkeypatch.setattr(cost, "ON_PAGE_S", 0.0)

    def work_off():
        for row in Computation.objects.filter(state=State.QUEUED):
            run_computation(row.pk, worker="worker", task_id="t", clock=timezone.now)

    return work_off


@pytest.fixture
def file(client, lake):
    """Ask for a file of a finding: file("table", 0), file("figure", 0, "png")."""

    def ask(kind, *place):
        return client.get(reverse(f"findings:{kind}", args=[lake.slug, "length-at-age", *place]))

    return ask


def do(client, lake, what):
    row = Computation.objects.get()
    return client.post(reverse(f"findings:{what}", args=[lake.slug, row.pk]), follow=True)


def test_a_cold_page_says_what_it_knows_and_the_next_has_the_answer(page, aged, work):
    aged(3, [8.0, 9.0, 10.0])

    cold = page()
    work()
    warm = page()

    assert (cold.status_code, cold["Retry-After"]) == (202, "1")
    assert cold.context["size"] == 3
    assert f"<h1>{cold.context['here']}</h1>" in cold.content.decode()
    # Without a script the page comes by itself too.
    assert '<noscript><meta http-equiv="refresh"' in cold.content.decode()
    assert (warm.status_code, "White crappie" in text(warm)) == (200, True)
    assert "refresh" not in warm.content.decode()


def test_page_and_files_share_one_computation(page, file, aged, work):
    aged(3, [8.0, 9.0, 10.0])

    tables = [file("table", 0, kind) for kind in ("csv", "xlsx")]
    cold = [page(), *tables, file("figure", 0, "csv"), file("figure", 0, "png")]
    work()

    assert [answer.status_code for answer in cold] == [202] * 5
    assert all(answer["Retry-After"] == "1" for answer in cold)
    assert file("table", 0, "csv")["Content-Type"].startswith("text/csv")
    assert "spreadsheetml" in file("table", 0, "xlsx")["Content-Type"]
    assert file("figure", 0, "csv")["Content-Type"].startswith("text/csv")
    assert Computation.objects.count() == 1


def test_a_figure_is_drawn_beside_the_page_too(page, file, aged, work):
    aged(3, [8.0, 9.0, 10.0])
    page()
    work()

    assert file("figure", 0, "png").status_code == 202
    work()
    assert file("figure", 0, "png").content.startswith(b"\x89PNG")
    assert file("figure", 7, "png").status_code == 404


def test_new_fish_show_the_earlier_result_until_the_new_one_is_there(page, aged, work):
    aged(3, [8.0, 8.5, 9.0, 9.5, 10.0])
    page()
    work()
    aged(3, [12.0])

    between = page()
    work()

    assert between.status_code == 202
    assert "9.0 in" in text(between)
    assert between.context["page"] is not None
    assert between.context["computation"].is_open
    assert "9.5 in" in text(page())


def test_where_there_are_no_fish_the_page_answers_by_itself(page, season, work):
    assert page().status_code == 200
    assert not Computation.objects.exists()


def test_the_script_is_told_how_far_it_is(client, lake, page, aged, work):
    aged(3, [8.0, 9.0, 10.0])
    page()
    row = Computation.objects.get()
    address = reverse("findings:computation", args=[lake.slug, row.pk])
    began = timezone.now() - timedelta(seconds=1)
    Computation.objects.update(expected_s=4, step="Drawing figure 1 of 2")

    waiting = client.get(address).json()
    Computation.objects.update(
        state=State.RUNNING, started_at=began, lease="w", leased_until=began, progress=70
    )
    told = client.get(address).json()
    Computation.objects.update(progress=0)
    expected = client.get(address).json()
    Computation.objects.update(state=State.DONE)

    assert (waiting["progress"], told["progress"], told["step"]) == (0, 70, "Drawing figure 1 of 2")
    # A quarter of the time that it should take.
    assert 25 <= expected["progress"] < 70
    assert (told["open"], client.get(address).json()["open"]) == (True, False)


def test_what_is_canceled_stays_so_until_it_is_asked_for_again(client, lake, page, aged, work):
    aged(3, [8.0, 9.0, 10.0])
    page("length-at-age", "?arm=Brindle")

    canceled = do(client, lake, "cancel")
    again = do(client, lake, "compute_again")

    assert "arm=Brindle" in canceled.redirect_chain[-1][0]
    assert canceled.context["computation"].state == State.CANCELED
    assert (again.status_code, Computation.objects.get().state) == (202, State.QUEUED)


def test_a_failure_is_said_and_can_be_tried_again(client, lake, page, aged, work, monkeypatch):
    aged(3, [8.0, 9.0, 10.0])
    page()
    with monkeypatch.context() as broken:
        broken.setattr("samples.findings.queries.load", lambda *_: 1 / 0)
        work()

    failed = page()

    assert failed.status_code == 500
    assert failed.context["computation"].state == State.FAILED
    assert do(client, lake, "compute_again").status_code == 202
    work()
    assert page().status_code == 200


def test_a_queue_that_nobody_works_on_is_said(page, aged, work):
    aged(3, [8.0, 9.0, 10.0])
    page()
    Computation.objects.update(queued_at=timezone.now() - timedelta(minutes=1))

    assert page().context["nobody_works"] is True
