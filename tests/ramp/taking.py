"""Sending entries to the service, and what came of them."""

from samples.models import Fish
from samples.ramp import services
from samples.ramp.entry import read
from tests.people import NOW


def take(by, *raw, now=NOW):
    return services.ingest([read(one) for one in raw], author=by, now=now)


def outcomes(answers):
    return [(answer.outcome.value, answer.reason) for answer in answers]


def vial_of(entry):
    return Fish.objects.get(entry_id=entry["entry_id"]).vial
