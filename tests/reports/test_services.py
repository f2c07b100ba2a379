"""Reports edited by several people, and drafts that stay as they were made."""

import pytest

from samples.models import ReportBlockKind, ReportDraft, ReportFormat
from samples.reports import queries, services
from tests.people import NOW, make_person
from tests.reports.documents import make_document
from tests.reports.rows import make_draft, make_report

pytestmark = pytest.mark.django_db


@pytest.fixture
def report(lake, biologist):
    return make_report(lake, biologist)


@pytest.fixture
def colleague(lake):
    return make_person(lake, "biologist", "T. Vesk")


def kinds(report):
    return [one.topic or one.kind for one in queries.blocks_of(report)]


class TestEditing:
    def test_finding_stands_before_methods_and_only_once(self, report, biologist):
        for _ in range(2):
            services.add_finding(report, topic="growth", query="sex=F", actor=biologist, now=NOW)

        assert kinds(report)[-3:] == ["growth", "methods", "references"]
        assert kinds(report).count("growth") == 1

    def test_same_finding_by_another_choice_is_another_block(self, report, biologist):
        for query in ("sex=F", "sex=M"):
            services.add_finding(report, topic="growth", query=query, actor=biologist, now=NOW)

        assert kinds(report).count("growth") == 2

    def test_block_moves_past_its_neighbor_and_no_further(self, report, biologist):
        first = queries.blocks_of(report)[0]

        services.move_block(first, up=True, actor=biologist, now=NOW)
        services.move_block(first, up=False, actor=biologist, now=NOW)

        assert kinds(report)[:2] == ["coverage", "summary"]

    def test_second_save_is_told_and_writes_nothing(self, report, biologist, colleague):
        block = queries.blocks_of(report)[0]
        services.change_block(block, version=1, words="Theirs.", actor=colleague, now=NOW)

        with pytest.raises(services.ReportChanged) as told:
            services.change_block(block, version=1, words="Mine.", actor=biologist, now=NOW)

        assert told.value.row.words == "Theirs."
        block.refresh_from_db()
        assert (block.words, block.changed_by) == ("Theirs.", colleague)

    def test_words_not_seen_are_not_removed(self, report, biologist, colleague):
        block = queries.blocks_of(report)[0]
        services.change_block(block, version=1, words="Theirs.", actor=colleague, now=NOW)

        with pytest.raises(services.ReportChanged):
            services.remove_block(block, version=1, actor=biologist, now=NOW)

        assert kinds(report)[0] == ReportBlockKind.SUMMARY

    def test_title_is_taken_once_at_a_lake(self, lake, report, biologist):
        with pytest.raises(services.ReportRefused) as told:
            make_report(lake, biologist, title=report.title.upper())

        assert told.value.code == "title_taken"


class TestDrafts:
    def test_draft_stays_as_it_was_frozen(self, report, biologist):
        draft = make_draft(report, biologist)

        again = services.keep_document(
            draft, make_document(title="Another"), revision="later", now=NOW
        )

        assert again.document == ReportDraft.objects.get(pk=draft.pk).document
        assert again.revision == "1f2e3d"

    def test_draft_begun_twice_before_it_is_made_is_one(self, report, biologist):
        first = services.begin_draft(report, actor=biologist, now=NOW)

        assert services.begin_draft(report, actor=biologist, now=NOW) == first

    def test_lost_file_is_written_again_from_the_document(
        self, report, biologist, settings, tmp_path
    ):
        settings.MEDIA_ROOT = str(tmp_path)
        draft = make_draft(report, biologist)
        written = services.write_file(draft, ReportFormat.PDF, now=NOW)
        kept = draft.files.get()
        kept.file.storage.delete(kept.file.name)

        assert services.read_file(draft, ReportFormat.PDF, now=NOW) == written
        assert draft.files.get().file.size == len(written)
