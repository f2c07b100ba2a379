"""Rows of reports to test with."""

from samples.reports import services
from tests.people import NOW
from tests.reports.documents import make_document


def make_report(lake, person, title="Crappie, 2026"):
    """Start a report of the lake's season with its usual blocks."""
    season = lake.seasons.first()
    return services.start_report(lake, season, title=title, authors="", actor=person, now=NOW)


def make_draft(report, person, document=None):
    """Freeze a draft of a report whose document nobody had to work out."""
    draft = services.begin_draft(report, actor=person, now=NOW)
    document = document or make_document()
    return services.keep_document(draft, document, revision="1f2e3d", now=NOW)


def make_report_rows(lake, person):
    """Return what the addresses of reports name."""
    report = make_report(lake, person)
    return {
        "report": report.pk,
        "report_block": report.blocks.first().pk,
        "draft_number": make_draft(report, person).number,
        "report_format": "pdf",
    }
