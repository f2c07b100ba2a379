"""Logging fish: many clean ones at once, and one by one where something is odd."""

from collections.abc import Sequence
from typing import Any

from django.db import IntegrityError, transaction

from samples.models import WITHOUT_AN_OTOLITH, Fish, LakeSpecies, Party, Vial, progress_of
from samples.models.fish import LEAST_LENGTH_HUNDREDTHS_MM, MOST_LENGTH_HUNDREDTHS_MM
from samples.ramp import queries
from samples.ramp.entry import FishFacts, FishLogged
from samples.ramp.services.answers import Answer, Held, Outcome, Refused
from samples.ramp.services.batch import Batch
from samples.ramp.services.held import held_if_pasted, hold
from samples.rules import vial_number

UNUSED = {Vial.State.PRINTED, Vial.State.ISSUED}
OUT_OF_USE = {Vial.State.VOID, Vial.State.LOST}
NO_OTOLITH = "no_otolith"


def take_fish(entries: Sequence[FishLogged], batch: Batch) -> list[Answer]:
    """Log a run of fish; each gets its own answer, in the order of the entries."""
    answers: list[Answer | None] = []
    clean: list[tuple[int, Fish]] = []
    for place, entry in enumerate(entries):
        try:
            fish = _ready(entry, batch)
        except Refused as problem:
            reason = held_if_pasted(problem, batch)
            answers.append(
                Answer(entry.entry_id, Outcome.REFUSED, problem.code, errors=problem.errors)
                if reason is None
                else hold(entry, reason, batch)
            )
        except Held as problem:
            answers.append(hold(entry, problem.code, batch))
        else:
            answers.append(fish if isinstance(fish, Answer) else None)
            if isinstance(fish, Fish):
                clean.append((place, fish))
                batch.fish[fish.entry_id] = fish
    _write([fish for _, fish in clean], batch)
    for place, fish in clean:
        written = Outcome.LOGGED if fish.pk else Outcome.ALREADY_LOGGED
        answers[place] = Answer(fish.entry_id, written, fish=fish)
    return [answer for answer in answers if answer is not None]


def _ready(entry: FishLogged, batch: Batch) -> Fish | Answer:
    """Make the row of a fish that may be logged, or the answer of one that was."""
    known = batch.fish.get(entry.entry_id)
    if known is not None:
        if known.fingerprint == entry.fingerprint():
            return Answer(entry.entry_id, Outcome.ALREADY_LOGGED, fish=known)
        raise Held("entry_changed")
    waiting = batch.held.get((entry.entry_id, entry.fingerprint()))
    if waiting is not None:
        return Answer(entry.entry_id, Outcome.HELD, waiting.reason)
    party = batch.party_of(entry.party_id)
    if party is None:
        raise Held("unknown_party")
    kind = species_at(party, entry.fish, batch)
    ask(entry.fish, kind)
    vial = vial_for(entry.fish, party, batch)
    fish = Fish(
        entry_id=entry.entry_id,
        fingerprint=entry.fingerprint(),
        logged_by=batch.by,
        phone=batch.phone,
        logged_at=entry.said_at,
        received_at=batch.now,
        **_party_columns(party),
        **facts_columns(entry.fish, kind),
        vial=vial,
        progress=progress_of(vial),
    )
    if vial is not None:
        batch.hold_vial(vial, entry.entry_id)
    return fish


def species_at(party: Party, facts: FishFacts, batch: Batch) -> LakeSpecies:
    """Find the species said on the list of the party's lake.

    :raises Refused: if it is not on the list
    """
    kind = batch.species.get((party.lake_id, facts.species))
    if kind is None:
        raise Refused(
            "unknown_species", {"species": [f"{facts.species} is not on the list of this lake."]}
        )
    return kind


def ask(facts: FishFacts, kind: LakeSpecies) -> None:
    """Ask about what looks like a slip and was not confirmed.

    :raises Refused: with the question beside its field, or if no fish has such a length
    """
    open_questions = queries.questions_about(facts, kind.species_here)
    if open_questions:
        raise Refused(
            "needs_answer", {question.field: [question.sentence] for question in open_questions}
        )
    length = facts.measured.hundredths_mm
    if not LEAST_LENGTH_HUNDREDTHS_MM <= length <= MOST_LENGTH_HUNDREDTHS_MM:
        raise Refused(
            "impossible_length",
            {"length": ["No fish is shorter than 5 mm or longer than 5 m. Measure it again."]},
        )


def vial_for(
    facts: FishFacts, party: Party, batch: Batch, *, own: Fish | None = None
) -> Vial | None:
    """Find the vial said, if this fish may have it. ``own`` is the fish that is corrected.

    :raises Refused: if the number can be put right where it was typed
    :raises Held: if only the office can say
    """
    if not facts.vial:
        if party.lake_id in batch.may_log_without_vial:
            return None
        raise Refused("no_vial", {"vial": ["Which vial? Type the number on its label."]})
    try:
        number = vial_number.parse(facts.vial).number
    except vial_number.WrongCheckDigit as problem:
        if problem.code in facts.confirmed:
            raise Held("wrong_check_digit") from problem
        raise Refused("needs_answer", {"vial": [problem.sentence]}) from problem
    except vial_number.VialNumberRefused as problem:
        raise Refused(problem.code, {"vial": [problem.sentence]}) from problem
    vial = batch.vials.get(number)
    if vial is None:
        raise Held("unknown_vial")
    if vial.lake_id != party.lake_id:
        raise Held("other_lake")
    holder = batch.taken.get(vial.pk)
    if holder is not None and (own is None or holder != own.entry_id):
        raise Held("vial_taken")
    if vial.state in OUT_OF_USE:
        raise Held("void_vial")
    if holder is None and vial.content in WITHOUT_AN_OTOLITH and NO_OTOLITH not in facts.confirmed:
        raise Held(NO_OTOLITH)
    return vial


def _party_columns(party: Party) -> dict[str, Any]:
    return {
        "party": party,
        "leg": party.leg,
        "lake": party.lake,
        "season": party.season,
        "arm": party.arm,
        "reach": party.reach,
        "donor_id": party.donor_id,
        "method": party.method,
        "caught_on": party.caught_on,
    }


def facts_columns(facts: FishFacts, kind: LakeSpecies) -> dict[str, Any]:
    """Give the columns that hold what was said of the fish itself."""
    return {
        "species": kind.species,
        "told_by": facts.told_by,
        "spines": facts.spines,
        "sex": facts.sex,
        "length_hundredths_mm": facts.measured.hundredths_mm,
        "length_as_measured": facts.measured.as_measured,
        "length_unit_as_measured": facts.measured.unit.value,
        "weight_g": facts.weight_g,
        "vial_number_said": facts.vial,
        "slip_answers": sorted(facts.confirmed),
    }


def _write(fish: list[Fish], batch: Batch) -> None:
    """Insert clean fish in one go, with the history of fish and vials."""
    if not fish:
        return
    try:
        with transaction.atomic():
            Fish.objects.bulk_create(fish)
    except IntegrityError:
        # The same fish came twice at one moment, without a vial to wait for.
        _write_one_by_one(fish)
    Fish.history.bulk_history_create(fish, default_user=batch.signs, default_date=batch.now)
    use_vials([one.vial for one in fish if one.vial is not None], batch)


def _write_one_by_one(fish: list[Fish]) -> None:
    for one in list(fish):
        one.pk = None
        try:
            with transaction.atomic():
                Fish.objects.bulk_create([one])
        except IntegrityError:
            known = Fish.objects.filter(entry_id=one.entry_id).first()
            if known is None or known.fingerprint != one.fingerprint:
                raise
            fish.remove(one)


def use_vials(vials: Sequence[Vial], batch: Batch) -> None:
    """Note that these vials now hold a fish. One already received stays received."""
    fresh = [vial for vial in vials if vial.state in UNUSED]
    if not fresh:
        return
    Vial.objects.filter(pk__in=[vial.pk for vial in fresh]).update(state=Vial.State.USED)
    for vial in fresh:
        vial.state = Vial.State.USED
    Vial.history.bulk_history_create(
        fresh, update=True, default_user=batch.signs, default_date=batch.now
    )


def free_vial(vial: Vial, batch: Batch) -> None:
    """Give a vial back to the hands it was in, since its fish left it."""
    batch.let_go(vial)
    if vial.state == Vial.State.USED:
        vial.state = Vial.State.ISSUED if vial.issued_to_id else Vial.State.PRINTED
        vial.save(update_fields=["state"])
