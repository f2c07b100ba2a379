"""What doors of this stage share: PDFs, and pictures, sent to those who may see them."""

from datetime import date

from django.http import HttpResponse
from django.utils import timezone
from django.utils.text import slugify

from samples.models import Lake
from samples.rules.lake_time import local_day

NOT_OF_NOTE = "This fish is not the longest or the oldest of its season any more."


def today_at(lake: Lake) -> date:
    return local_day(timezone.now(), lake.time_zone)


def pdf_response(content: bytes, name: str) -> HttpResponse:
    """Send a PDF under a name; it holds a person's fish, so that nothing on the way keeps it."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(name)}.pdf"'
    response["Cache-Control"] = "private, no-store"
    return response
