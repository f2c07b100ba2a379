"""Reports and their files, looked over."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.files.base import ContentFile

from samples.maintenance.reports import check_reports, delete_stray_report_files
from samples.models import REPORTS_FOLDER, ReportDraft, ReportFile
from samples.reports import services
from tests.people import NOW
from tests.reports.rows import make_draft, make_report

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(lake, biologist, settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)
    draft = make_draft(make_report(lake, biologist), biologist)
    services.write_file(draft, "poster", now=NOW)
    return draft


def codes():
    return [one.code for one in check_reports()]


def test_whole_reports_are_nothing_to_speak_of(draft):
    assert codes() == []


def test_draft_that_was_changed_is_found(draft):
    ReportDraft.objects.filter(pk=draft.pk).update(document="{}")

    assert codes() == ["report_draft_changed"]


def test_file_that_is_gone_is_found(draft):
    row = ReportFile.objects.get()
    row.file.storage.delete(row.file.name)

    assert codes() == ["report_file_lost"]


def test_stray_file_is_deleted_and_no_other(draft):
    later = datetime.now(UTC) + timedelta(hours=2)
    # The storage of tests is one for all of them.
    delete_stray_report_files(later)
    ReportFile().file.storage.save(f"{REPORTS_FOLDER}/aa/stray.pdf", ContentFile(b"x"))

    assert delete_stray_report_files(later) == 1
    assert codes() == []
