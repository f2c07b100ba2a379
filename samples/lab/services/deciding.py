"""Deciding ages: an age, no age, or who or what is to tell it.

The vial's row is locked first, always. Of two people who decide at once one is first, and the
other learns what was decided before anything of theirs is kept.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime

from samples.lab import rules
from samples.lab.services.ages import (
    DECISIONS,
    fill,
    lock,
    set_from_readings,
    species_of,
)
from samples.lab.services.errors import CannotDecide
from samples.lab.services.sections import ask_for_section
from samples.models import (
    Age,
    AgeDecision,
    Fish,
    LakeSpecies,
    Reading,
    User,
    Vial,
    atomic_with_revision,
    refresh_progress,
)
from samples.rules.ageing import CannotAge

Outcome = AgeDecision.Outcome

_MEANWHILE = {
    Outcome.AGE: "decided age {age}",
    Outcome.NO_AGE: "decided that this fish gets no age",
    Outcome.SECTION: "asked for a section",
    Outcome.THIRD_READER: "asked for a third reader",
    Outcome.UNDONE: "undid the decision",
}


@atomic_with_revision()
def decide(
    *,
    fish: Fish,
    outcome: str,
    note: str,
    actor: User,
    now: datetime,
    age_years: int | None = None,
    how: str = "",
    seen: str | None = None,
) -> AgeDecision:
    """Decide what becomes of a fish's age, with a reason; every earlier decision stays on record.

    ``seen`` is what `rules.state_seen` gave for the page that was decided on; None asks nothing.
    Sent twice it is one decision.

    :raises CannotDecide: without a reading or a reason, if the fish had not hatched by then, or
        if somebody decided or read meanwhile
    """
    lock(fish)
    species = species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    last = last_decision(fish)
    facts = {"outcome": outcome, "age_years": age_years, "how": how, "note": note.strip()}
    if seen is not None and _is_repeated(last, facts, actor, seen):
        return last  # type: ignore[return-value]
    _check_seen(seen, last, readings)
    if fish.vial_id is None or not readings:
        raise CannotDecide(
            "no_reading", "This fish has no reading yet, so there is no age to decide."
        )
    if not note.strip():
        raise CannotDecide(
            "no_note",
            "Enter why, such as: read together, the second mark is a check.",
            "note",
        )
    made = AgeDecision(
        fish=fish,
        number=(last.number if last else 0) + 1,
        decided_by=actor,
        decided_at=now,
        **facts,
    )
    made.save()
    if outcome in {Outcome.AGE, Outcome.NO_AGE}:
        _set_decided(fish, made, species, readings)
    elif outcome == Outcome.SECTION:
        vial = Vial.objects.get(pk=fish.vial_id)
        ask_for_section(vial, actor=actor, now=now, why=made.note, decision=made)
    return made


def decide_age(
    *,
    fish: Fish,
    age_years: int,
    note: str,
    actor: User,
    now: datetime,
    how: str = AgeDecision.How.OTHER,
    seen: str | None = None,
) -> Age:
    """Set the age of a fish whose readings do not, with a note of how it was come to.

    :raises CannotDecide: as `decide`
    """
    decide(
        fish=fish,
        outcome=Outcome.AGE,
        age_years=age_years,
        how=how,
        note=note,
        actor=actor,
        now=now,
        seen=seen,
    )
    return Age.objects.get(fish=fish)


def last_decision(fish: Fish) -> AgeDecision | None:
    """Return the decision that holds for a fish, if there is any."""
    return fish.decisions.select_related("decided_by").order_by("-number").first()


def _is_repeated(
    last: AgeDecision | None, facts: Mapping[str, object], actor: User, seen: str
) -> bool:
    """Return whether the last decision is this very one, sent once before from the same page."""
    if last is None or last.decided_by_id != actor.pk:
        return False
    same = all(getattr(last, name) == value for name, value in facts.items())
    return same and rules.decisions_seen(seen) == last.number - 1


def _check_seen(seen: str | None, last: AgeDecision | None, readings: Sequence[rules.Aged]) -> None:
    if seen is None or seen == rules.state_seen(last, [one.reading for one in readings]):
        return
    if last is not None and rules.decisions_seen(seen) != last.number:
        what = _MEANWHILE[Outcome(last.outcome)].format(age=last.age_years)
        raise CannotDecide(
            "decided_meanwhile",
            f"{last.decided_by} {what} while this page was open. Yours is not saved. "
            "Read theirs, then save again to replace it.",
            "",
        )
    raise CannotDecide(
        "read_meanwhile",
        "A reading was added, changed or deleted while this page was open. Nothing is saved yet. "
        "Look at the readings, then save again.",
        "",
    )


def _set_decided(
    fish: Fish,
    decision: AgeDecision,
    species: LakeSpecies | None,
    readings: Sequence[rules.Aged],
) -> None:
    """Write what was decided into the fish's age."""
    if decision.outcome == Outcome.AGE and fish.caught_on is None:
        raise CannotDecide("no_catch_date", "This fish has no catch date, so it has no age.")
    age = Age.objects.filter(fish=fish).first() or Age(fish=fish)
    age.flags = []
    if decision.outcome == Outcome.AGE:
        age.standing, age.rule = Age.Standing.DECIDED, rules.DECIDED
    else:
        age.standing, age.rule = Age.Standing.NO_AGE, rules.DECIDED_NO_AGE
    try:
        fill(age, decision.age_years, fish, species)
    except CannotAge as problem:
        raise CannotDecide(problem.code, problem.sentence) from problem
    age.readers = sum(one.counts for one in readings)
    age.decided_by, age.decided_at, age.note = (
        decision.decided_by,
        decision.decided_at,
        decision.note,
    )
    age.worked_out_at = decision.decided_at
    age.save()
    refresh_progress([fish.pk])


@atomic_with_revision()
def undo_decision(*, fish: Fish, actor: User, now: datetime, seen: str | None = None) -> Age | None:
    """Take a decision back: the age is what the readings come to by themselves.

    :raises CannotDecide: if the age was not decided, or somebody decided or read meanwhile
    """
    lock(fish)
    species = species_of(fish)
    readings = rules.aged(Reading.objects.filter(vial=fish.vial_id), fish, species)
    last = last_decision(fish)
    _check_seen(seen, last, readings)
    age = Age.objects.filter(fish=fish, standing__in=DECISIONS).first()
    if age is None:
        raise CannotDecide("not_decided", "No decision on this age to undo.")
    AgeDecision.objects.create(
        fish=fish,
        number=(last.number if last else 0) + 1,
        outcome=Outcome.UNDONE,
        decided_by=actor,
        decided_at=now,
    )
    if readings:
        rule = rules.consensus_rule_of(fish.lake)
        set_from_readings(age, fish, species, rules.consensus_of(readings, fish, rule))
        age.worked_out_at = now
        age.save()
    else:
        age.delete()
    refresh_progress([fish.pk])
    return age if readings else None
