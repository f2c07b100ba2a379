"""Look over the data: what no service of ours would leave behind, and what waits for a person.

A problem is something that should never be: rows that were lost, or columns that no longer say
what the rows they follow from say. A note is ordinary work that waits.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime

from django.apps import apps
from django.db.models import Count, Exists, F, ForeignKey, Max, Model, OuterRef, Q

from samples.maintenance.check_donors import DONOR_CHECKS
from samples.maintenance.check_files import check_files, check_stray_files
from samples.maintenance.check_lab import LAB_CHECKS
from samples.maintenance.check_marks import check_marks
from samples.maintenance.check_nets import check_nets
from samples.maintenance.custody import CUSTODY_CHECKS
from samples.maintenance.finding import (
    Finding,
    a_row,
    count_of,
    few,
    find_rows,
    find_vials,
    first_ids,
    named_vials,
    rows_of,
)
from samples.maintenance.reports import check_reports
from samples.maintenance.sessions import sessions_beside_their_readings
from samples.models import (
    Age,
    Fish,
    HeldEntry,
    LabelRun,
    NumberYear,
    Party,
    Reading,
    Season,
    Vial,
    find_stale_progress,
)
from samples.rules import vial_number


def check_data(*, now: datetime) -> Iterator[Finding]:
    """Yield everything that was found, problems and notes."""
    for check in CHECKS:
        yield from check()
    yield from check_stray_files(now)


def count_what_is_kept() -> dict[str, int]:
    """Return how many there are of what the data are made of."""
    kept: tuple[tuple[str, type[Model]], ...] = (
        ("vials", Vial),
        ("trips", Party),
        ("fish", Fish),
        ("readings", Reading),
        ("ages", Age),
        ("held entries", HeldEntry),
    )
    return {name: model._default_manager.count() for name, model in kept}


# ---------- Orphans ----------


def _orphans() -> Iterator[Finding]:
    """Find rows that refer to one that is not there: the tables were filled past their
    constraints.
    """
    for model in apps.get_models():
        for field in model._meta.get_fields():
            # History keeps on naming what is gone, and is not held to it by the database.
            if not isinstance(field, ForeignKey) or not field.db_constraint:  # type: ignore[attr-defined]
                continue
            there = field.remote_field.model._base_manager.filter(
                **{field.target_field.attname: OuterRef(field.attname)}
            )
            rows = model._base_manager.filter(~Exists(there), **{f"{field.attname}__isnull": False})
            if count := rows.count():
                ids = first_ids(rows)
                yield Finding(
                    "orphan",
                    f"{rows_of(count, model)} name {a_row(field)} that is not there "
                    f"(ids {few(ids)}). Restore a backup from before that row was lost.",
                    ids,
                )


def _ages_without_reading() -> Iterator[Finding]:
    read = Reading.objects.filter(vial=OuterRef("fish__vial"))
    rows = Age.objects.filter(~Exists(read), decided_at__isnull=True)
    yield from find_rows(
        "age_without_reading",
        rows,
        "age rests",
        "ages rest",
        "on no reading",
        "Read the vial again, or decide the age.",
    )


def _readings_without_fish() -> Iterator[Finding]:
    held = Fish.objects.filter(vial=OuterRef("vial"))
    rows = Reading.objects.filter(~Exists(held)).order_by("vial__number")
    numbers = list(dict.fromkeys(rows.values_list("vial__number", flat=True)))
    if numbers:
        yield Finding(
            "reading_without_fish",
            f"{count_of(len(numbers), 'vial was', 'vials were')} read, and no fish is logged in "
            f"{'it' if len(numbers) == 1 else 'them'}: {named_vials(numbers)}. Log the fish, or "
            "find out which fish the vial was taken from.",
            tuple(numbers),
        )


# ---------- Vials ----------


def _gaps_in_numbers() -> Iterator[Finding]:
    """Find numbers that were given out and have no vial any more."""
    for year in NumberYear.objects.order_by("year"):
        runs = LabelRun.objects.filter(season__number_year=year.year)
        given: set[int] = set()
        for first, count in runs.values_list("first_sequence", "count"):
            given.update(range(first, first + count))
        given.update(range(1, year.last_sequence + 1))
        vials = Vial.objects.filter(season__number_year=year.year)
        missing = sorted(given.difference(vials.values_list("sequence", flat=True)))
        if missing:
            numbers = [vial_number.make(year.year, one, year.digits) for one in missing]
            yield Finding(
                "number_without_vial",
                f"{count_of(len(missing), 'number', 'numbers')} of {year.year} "
                f"{'was' if len(missing) == 1 else 'were'} given out and "
                f"{'has' if len(missing) == 1 else 'have'} no vial: {named_vials(numbers)}.",
                tuple(numbers),
            )
        highest = vials.aggregate(highest=Max("sequence"))["highest"] or 0
        if highest > year.last_sequence:
            yield Finding(
                "counter_too_low",
                f"The last number given out in {year.year} is noted as {year.last_sequence}, and "
                f"there are vials up to {highest}. The next labels would repeat numbers: print "
                "none until it is corrected.",
                (str(year.last_sequence), str(highest)),
            )


def _numbers_that_do_not_fit() -> Iterator[Finding]:
    wrong = []
    rows = Vial.objects.values_list("number", "sequence", "season__number_year")
    for number, sequence, year in rows.iterator(chunk_size=5_000):
        digits = len(number) - 3
        try:
            fits = number == vial_number.make(year, sequence, digits)
        except (ValueError, vial_number.VialNumberRefused):
            fits = False
        if not fits:
            wrong.append(number)
    if wrong:
        yield Finding(
            "number_does_not_fit",
            f"{count_of(len(wrong), 'vial has a number that does', 'vials have numbers that do')} "
            f"not fit the place in the year, or whose check digit is wrong: {few(wrong)}.",
            tuple(wrong),
        )


def _short_runs() -> Iterator[Finding]:
    runs = LabelRun.objects.annotate(made=Count("vials")).exclude(made=F("count"))
    for run in runs.order_by("pk"):
        yield Finding(
            "short_run",
            f"Label run {run.pk} was of {run.count:,} numbers, and {run.made:,} of its vials are "
            "there.",
            (str(run.pk),),
        )


def _vials_beside_their_fish() -> Iterator[Finding]:
    unused = Vial.objects.filter(
        state__in=[Vial.State.PRINTED, Vial.State.ISSUED], fish__isnull=False
    )
    yield from find_vials(
        "vial_marked_unused",
        unused,
        "hold a fish and are still marked as unused",
        "Receive them, then check again.",
    )
    came = [Vial.State.RECEIVED, Vial.State.CLEARING, Vial.State.READY, Vial.State.READ]
    never = Vial.objects.filter(state__in=[*came, Vial.State.ARCHIVED], received_at__isnull=True)
    yield from find_vials(
        "vial_without_day",
        never,
        "are marked as received and have no day on which they came",
        "An administrator can set the day at /office/admin/.",
    )
    elsewhere = Vial.objects.filter(fish__isnull=False).exclude(fish__lake=F("lake"))
    yield from find_vials(
        "vial_of_other_lake",
        elsewhere,
        "hold a fish of another lake",
        "Find out which vial each of these fish has.",
    )


def _contested_vials() -> Iterator[Finding]:
    claims = HeldEntry.objects.filter(vial=OuterRef("pk"), state=HeldEntry.State.OPEN)
    rows = Vial.objects.filter(Exists(claims), fish__isnull=False)
    yield from find_vials(
        "vial_claimed_twice",
        rows,
        "are claimed by a second fish",
        "Look under Entries to resolve.",
        is_problem=False,
    )
    waiting = HeldEntry.objects.filter(state=HeldEntry.State.OPEN).count()
    if waiting:
        yield Finding(
            "entries_waiting",
            f"{count_of(waiting, 'entry waits', 'entries wait')} for the office to resolve.",
            is_problem=False,
        )


# ---------- Columns that repeat others ----------


def _fish_beside_their_trip() -> Iterator[Finding]:
    differs = (
        ~Q(lake=F("party__lake"))
        | ~Q(season=F("party__season"))
        | ~Q(method=F("party__method"))
        | _other("caught_on")
        | _other("donor")
        | Q(leg__gt=F("party__leg"))
        | Q(leg=F("party__leg")) & (~Q(arm=F("party__arm")) | _other("reach"))
    )
    yield from find_rows(
        "fish_beside_trip",
        Fish.objects.filter(differs),
        "fish does",
        "fish do",
        "not repeat what the trip says of lake, season, arm, donor, method or date",
        "Coverage counts them wrongly.",
    )


def _other(name: str) -> Q:
    """Return a condition: a column which may be empty differs from the trip's."""
    empty, of_party = f"{name}__isnull", f"party__{name}__isnull"
    both = Q(**{empty: False, of_party: False})
    return (
        both & ~Q(**{name: F(f"party__{name}")})
        | Q(**{empty: True, of_party: False})
        | Q(**{empty: False, of_party: True})
    )


def _progress() -> Iterator[Finding]:
    stale = tuple(str(pk) for pk in stale_progress())
    if stale:
        yield Finding(
            "stale_progress",
            f"{count_of(len(stale), 'fish is', 'fish are')} counted at another stage (logged, "
            f"received, aged) than vial and age say (ids {few(stale)}). Correct it with: "
            "manage.py check_data --refresh-progress",
            stale,
        )


def stale_progress() -> list[int]:
    """Return the ids of fish whose progress is not what their vial and age say."""
    # Season by season, so that not all fish stand in memory.
    seasons = Season.objects.order_by("pk").values_list("pk", flat=True)
    return [
        pk
        for season in seasons
        for pk, _ in find_stale_progress(Fish.objects.filter(season=season))
    ]


CHECKS: tuple[Callable[[], Iterable[Finding]], ...] = (
    _orphans,
    _ages_without_reading,
    _readings_without_fish,
    check_marks,
    _gaps_in_numbers,
    _numbers_that_do_not_fit,
    _short_runs,
    _vials_beside_their_fish,
    *CUSTODY_CHECKS,
    *LAB_CHECKS,
    *DONOR_CHECKS,
    _fish_beside_their_trip,
    _progress,
    check_nets,
    _contested_vials,
    check_files,
    sessions_beside_their_readings,
    check_reports,
)
