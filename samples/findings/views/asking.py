"""What every door of findings asks first: which question this is, and what its answer is."""

from typing import TYPE_CHECKING

from django.http import Http404
from django.utils import timezone

from samples.accounts.decorators import SignedInRequest
from samples.findings.computed import Question, Words, read_question
from samples.findings.topics import TOPICS
from samples.models import Lake
from samples.rules.lake_time import local_day

if TYPE_CHECKING:
    from samples.findings.forms import ChoiceForm


def question_of(
    request: SignedInRequest, lake: Lake, topic: str, words: Words | None = None
) -> "tuple[ChoiceForm, Question | None]":
    """Read the question that an address asks, or that these words of one do."""
    if topic not in TOPICS:
        raise Http404("No such finding.")
    today = local_day(timezone.now(), lake.time_zone)
    return read_question(lake, TOPICS[topic], words or request.GET, today=today)
