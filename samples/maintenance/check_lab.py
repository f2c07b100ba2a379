"""Look over what the lab keeps: decisions beside ages, preparations beside readings."""

from collections.abc import Callable, Iterable, Iterator

from django.db.models import Exists, F, OuterRef, Q

from samples.maintenance.finding import Finding, few, find_rows, first_ids
from samples.models import Age, AgeDecision, Preparation, Reading, SectionRequest


def _ages_beside_their_decision() -> Iterator[Finding]:
    """Find ages that a person decided otherwise than the last decision says."""
    told = AgeDecision.objects.filter(outcome__in=["age", "no_age", "undone"])
    later = told.filter(fish=OuterRef("fish"), number__gt=OuterRef("number"))
    same = told.exclude(Exists(later)).filter(
        Q(outcome="age", age_years=OuterRef("age_years")) | Q(outcome="no_age"),
        fish=OuterRef("fish"),
    )
    rows = Age.objects.filter(~Exists(same), decided_at__isnull=False)
    yield from find_rows(
        "age_beside_decision",
        rows,
        "decided age is",
        "decided ages are",
        "not as last decided",
        "Open each vial under Consensus ages and decide again.",
    )


def _readings_beside_their_preparation() -> Iterator[Finding]:
    rows = Reading.objects.filter(preparation__isnull=False).filter(
        ~Q(vial=F("preparation__vial")) | ~Q(method=F("preparation__kind"))
    )
    yield from find_rows(
        "reading_beside_preparation",
        rows,
        "reading is",
        "readings are",
        "of a preparation of another vial or method",
        "Correct them on the page of the vial.",
    )


def _preparations_beside_their_vial() -> Iterator[Finding]:
    wrong = Preparation.objects.exclude(lake=F("vial__lake"))
    crossed = SectionRequest.objects.filter(preparation__isnull=False).exclude(
        vial=F("preparation__vial")
    )
    for code, rows, what in (
        ("preparation_of_other_lake", wrong, "preparations are of another lake than their vial"),
        ("request_of_other_vial", crossed, "sections asked for were made of another vial"),
    ):
        if rows.exists():
            ids = first_ids(rows)
            yield Finding(
                code,
                f"Some {what} (ids {few(ids)}). An administrator can see them at /office/admin/.",
                ids,
            )


LAB_CHECKS: tuple[Callable[[], Iterable[Finding]], ...] = (
    _ages_beside_their_decision,
    _readings_beside_their_preparation,
    _preparations_beside_their_vial,
)
