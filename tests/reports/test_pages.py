"""Reports as a biologist puts them together, makes them, and opens them years later."""

import json
from typing import Any

import pypdfium2
import pytest
from django.urls import reverse

from samples.models import Donor, Report, ReportDraft, note_lakes
from samples.reports import queries, services
from samples.reports.blocks.made import A_DONOR
from tests.findings.conftest import aged
from tests.people import NOW, make_person
from tests.reports.rows import make_draft, make_report
from tests.shown import error_codes

__all__ = ["aged"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client, biologist, settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def report(lake, biologist):
    return make_report(lake, biologist)


def address(name, lake, *names):
    return reverse(f"reports:{name}", args=[lake.slug, *names])


def blocks_by_heading(draft):
    return {one["heading"]: one for one in json.loads(draft.document)["blocks"]}


class TestMaking:
    def test_finding_is_added_made_and_frozen_with_its_choice(self, desk, lake, aged, biologist):
        aged(3, [8.0, 9.0, 10.0, 11.0, 9.5], sex="F")
        aged(3, [8.0, 9.0], sex="M")
        page = desk.get(reverse("findings:finding", args=[lake.slug, "length-at-age"]) + "?sex=F")
        add = address("add", lake, "length-at-age") + "?sex=F"
        assert "report/?sex=F" in page.content.decode()
        season = lake.seasons.get().pk

        desk.post(add, {"report": "new", "title": "Crappie, 2026", "season": season})
        report = Report.objects.get()
        desk.post(address("make", lake, report.pk))

        draft = ReportDraft.objects.get()
        block = blocks_by_heading(draft)["Length at age"]
        assert block["query"] == "sex=F"
        assert block["choice"].endswith("n = 5")
        answer = desk.get(address("draft_file", lake, report.pk, 1, "pdf"))
        pages = [page.get_textpage() for page in pypdfium2.PdfDocument(answer.content)]
        assert any(block["answer"] in page.get_text_range() for page in pages)
        poster = desk.get(address("draft_file", lake, report.pk, 1, "poster"))
        assert len(pypdfium2.PdfDocument(poster.content)) == 1

    def test_block_whose_data_are_gone_says_so_in_its_place(self, desk, lake, report, biologist):
        for topic, query in (("growth", ""), ("sizes", "season=1999")):
            services.add_finding(report, topic=topic, query=query, actor=biologist, now=NOW)

        desk.post(address("make", lake, report.pk))

        made = blocks_by_heading(ReportDraft.objects.get())
        assert made["Growth"]["missing"]
        assert made["Size structure"]["missing"] == queries.GONE
        assert made["Coverage"]["missing"]
        assert not made["Methods"]["missing"]

    def test_draft_says_when_data_have_changed_since(self, desk, lake, report):
        desk.post(address("make", lake, report.pk))
        [before] = desk.get(address("report", lake, report.pk)).context["made"]

        note_lakes(lake.pk)

        [after] = desk.get(address("report", lake, report.pk)).context["made"]
        assert (before.is_of_older_data, after.is_of_older_data) == (False, True)

    def test_donor_who_becomes_known_later_is_not_in_the_draft(self, desk, lake, report, biologist):
        block = queries.blocks_of(report)[0]
        services.change_block(
            block, version=1, words="Thanks to Quill Ostrow.", actor=biologist, now=NOW
        )
        Donor.objects.create(lake=lake, name="Quill Ostrow")

        desk.post(address("make", lake, report.pk))

        document = ReportDraft.objects.get().document
        assert "Ostrow" not in document
        assert A_DONOR in document


class TestEditing:
    def test_second_save_keeps_what_was_typed_and_shows_theirs(self, desk, lake, report):
        block = queries.blocks_of(report)[0]
        colleague = make_person(lake, "biologist", "T. Vesk")
        services.change_block(block, version=1, words="Theirs.", actor=colleague, now=NOW)
        door = address("block", lake, report.pk, block.pk)

        answer = desk.post(door, {"words": "Mine.", "version": 1})

        assert answer.status_code == 409
        assert answer.context["other"].words == "Theirs."
        assert answer.context["form"]["words"].value() == "Mine."
        again = {"words": "Mine.", "version": answer.context["form"]["version"].value()}
        assert desk.post(door, again).status_code == 302
        block.refresh_from_db()
        assert block.words == "Mine."

    def test_words_of_a_block_that_is_removed_meanwhile_stay_on_the_page(
        self, desk, lake, report, monkeypatch
    ):
        block = queries.blocks_of(report)[0]
        change = services.change_block

        def too_late(held, **how):
            held.__class__.objects.filter(pk=held.pk).delete()
            return change(held, **how)

        monkeypatch.setattr(services, "change_block", too_late)
        answer = desk.post(
            address("block", lake, report.pk, block.pk), {"words": "Mine.", "version": 1}
        )

        assert (answer.status_code, error_codes(answer)) == (422, {"words": ["removed"]})
        assert answer.context["form"]["words"].value() == "Mine."

    def test_second_save_of_the_first_page_keeps_what_was_typed(self, desk, lake, report):
        typed: dict[str, Any] = {
            "title": "Mine",
            "authors": "",
            "words": "W",
            "paper": "a4",
            "version": 1,
        }
        colleague = make_person(lake, "biologist", "T. Vesk")
        services.change_report(report, **(typed | {"title": "Theirs"}), actor=colleague, now=NOW)

        answer = desk.post(address("report", lake, report.pk), typed)

        assert answer.status_code == 409
        assert answer.context["other"].title == "Theirs"
        assert answer.context["form"]["title"].value() == "Mine"

    def test_words_that_name_a_donor_are_refused_and_kept(self, desk, lake, report):
        Donor.objects.create(lake=lake, name="Quill Ostrow")
        block = queries.blocks_of(report)[0]

        answer = desk.post(
            address("block", lake, report.pk, block.pk),
            {"words": "Thanks, Quill Ostrow!", "version": 1},
        )

        assert error_codes(answer)["words"] == ["names_a_donor"]
        assert answer.context["form"]["words"].value() == "Thanks, Quill Ostrow!"

    def test_report_of_another_lake_is_not_there(self, desk, lake, other_lake, stranger):
        theirs = make_report(other_lake, stranger)
        draft = make_draft(theirs, stranger)

        doors = [
            address("report", lake, theirs.pk),
            address("block", lake, theirs.pk, theirs.blocks.first().pk),
            address("draft_file", lake, theirs.pk, draft.number, "pdf"),
        ]

        assert [desk.get(door).status_code for door in doors] == [404, 404, 404]

    def test_list_asks_as_much_for_many_drafts_as_for_one(
        self, desk, lake, report, biologist, django_assert_max_num_queries
    ):
        for _ in range(12):
            make_draft(report, biologist)

        with django_assert_max_num_queries(24):
            answer = desk.get(address("report", lake, report.pk))

        assert len(answer.context["made"]) == 12
