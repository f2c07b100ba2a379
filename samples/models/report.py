"""Season reports: which blocks they have, in whose words, and what was made of them."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from samples.models.choices import only_choices
from samples.models.lake import Lake, Season
from samples.models.user import User

REPORTS_FOLDER = "reports"
LONGEST_TITLE = 120
LONGEST_AUTHORS = 200
LONGEST_OWN_WORDS = 5000
LONGEST_QUERY = 2000


class Paper(models.TextChoices):
    LETTER = "letter", "Letter"
    A4 = "a4", "A4"


class ReportBlockKind(models.TextChoices):
    SUMMARY = "summary", "Summary"
    COVERAGE = "coverage", "Coverage"
    SOURCES = "sources", "Samples by source"
    FINDING = "finding", "Finding"
    PLAN = "plan", "Still needed"
    METHODS = "methods", "Methods"
    REFERENCES = "references", "References"


class ReportFormat(models.TextChoices):
    PDF = "pdf", "PDF"
    DOCX = "docx", "Word"
    PPTX = "pptx", "Slides"
    POSTER = "poster", "Poster"


def place_of_report(report_file: "ReportFile", filename: str) -> str:
    """Return where a file is kept: under a name that says nothing, and is never used twice."""
    del filename
    name = uuid4().hex
    return f"{REPORTS_FOLDER}/{name[:2]}/{name}.{report_file.ending}"


class Report(models.Model):
    """A report of one lake and season that people work on together.

    ``version`` counts its changes, those of the order of its blocks too: whoever saves what was
    opened at an earlier one is told what has changed since.
    """

    lake = models.ForeignKey(Lake, on_delete=models.PROTECT, related_name="reports")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="reports")
    title = models.CharField(max_length=LONGEST_TITLE)
    authors = models.CharField(
        max_length=LONGEST_AUTHORS, blank=True, help_text="As they stand on the first page."
    )
    words = models.TextField(
        max_length=LONGEST_OWN_WORDS, blank=True, help_text="On the first page, as typed."
    )
    paper = models.CharField(max_length=6, choices=Paper, default=Paper.LETTER)
    version = models.PositiveIntegerField(default=1)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint("lake", Lower("title"), name="report_title_once"),
            only_choices("paper", Paper, name="report_paper_known"),
        ]

    def __str__(self) -> str:
        return self.title


class ReportBlock(models.Model):
    """One block of a report: what it is about, the choice that it is made by, and own words.

    A finding is named by its address on the site; ``query`` is the choice as it stands there.
    """

    Kind = ReportBlockKind

    report = models.ForeignKey(Report, on_delete=models.CASCADE, related_name="blocks")
    place = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=12, choices=ReportBlockKind)
    topic = models.CharField(max_length=40, blank=True)
    query = models.CharField(max_length=LONGEST_QUERY, blank=True)
    words = models.TextField(
        max_length=LONGEST_OWN_WORDS, blank=True, help_text="Above the block, as typed."
    )
    version = models.PositiveIntegerField(default=1)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        indexes = [models.Index(fields=["report", "place"], name="report_block_in_order")]
        constraints = [
            only_choices("kind", ReportBlockKind, name="report_block_kind_known"),
            models.CheckConstraint(
                name="report_block_of_a_finding_names_it",
                condition=(Q(kind="finding") & ~Q(topic=""))
                | (~Q(kind="finding") & Q(topic="", query="")),
            ),
        ]

    def __str__(self) -> str:
        return f"block {self.place} of report {self.report_id}"


class ReportDraft(models.Model):
    """A report as it was made once: its document never changes after.

    ``document`` is the whole report as JSON, empty until it is made; every file is written from
    it. ``revision`` marks the data that it was made of, ``version`` the program.
    """

    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="drafts")
    number = models.PositiveSmallIntegerField()
    requested_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    requested_at = models.DateTimeField()
    made_at = models.DateTimeField(null=True, blank=True)
    revision = models.CharField(max_length=64, blank=True)
    version = models.CharField(max_length=40, blank=True)
    document = models.TextField(blank=True, editable=False)
    document_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    history = HistoricalRecords(excluded_fields=["document"])

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="report_draft_number_once"),
            models.CheckConstraint(
                name="report_draft_made_is_whole",
                condition=Q(made_at__isnull=True, document="", document_sha256="")
                | (Q(made_at__isnull=False) & ~Q(document="") & ~Q(document_sha256="")),
            ),
        ]

    def __str__(self) -> str:
        return f"draft {self.number} of report {self.report_id}"

    @property
    def is_made(self) -> bool:
        return self.made_at is not None


class ReportFile(models.Model):
    """A draft as a file of one format, written from its document and written again where lost."""

    Format = ReportFormat

    draft = models.ForeignKey(ReportDraft, on_delete=models.PROTECT, related_name="files")
    format = models.CharField(max_length=6, choices=ReportFormat)
    file = models.FileField(upload_to=place_of_report, max_length=100)
    sha256 = models.CharField(max_length=64, editable=False)
    size_bytes = models.PositiveIntegerField()
    written_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["draft", "format"], name="report_file_once"),
            only_choices("format", ReportFormat, name="report_file_format_known"),
        ]

    def __str__(self) -> str:
        return f"{self.format} of draft {self.draft_id}"

    @property
    def ending(self) -> str:
        """Return what the name of the file ends with."""
        return "pdf" if self.format == ReportFormat.POSTER else str(self.format)
