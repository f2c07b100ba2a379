"""Taking a spreadsheet of fish in: all of its rows or none, by the phone's own service."""

from collections.abc import Callable, Iterator
from datetime import date, datetime
from uuid import NAMESPACE_URL, UUID, uuid5

from django.utils.text import slugify
from simple_history.utils import bulk_create_with_history

from samples.accounts.permissions import Permission, has_permission
from samples.accounts.services import add_role
from samples.exchange.entry import FileRow, FileTable
from samples.exchange.rules import WHOLE_LAKE, nearly_alike
from samples.exchange.services.known import known_under_another_name
from samples.exchange.services.reader import IF_RIGHT, Reader, RowFacts
from samples.exchange.services.report import BadRow, Report, Settings, unit_of
from samples.models import (
    AgeAsGiven,
    Arm,
    Fish,
    HowChosen,
    Lake,
    Membership,
    Method,
    Season,
    User,
    atomic_with_revision,
    refresh_progress,
)
from samples.ramp.entry import FishLogged, PartyFacts, PartyOpened
from samples.ramp.services import HELD_WORDS, Answer, Outcome, TryLater, ingest
from samples.waters.services.lakes import free_slug

# So many rows are written together; between them the command says how far it is.
ROWS_AT_A_TIME = 500
TAKEN = {Outcome.LOGGED, Outcome.ALREADY_LOGGED}
# An answer names its field; the spreadsheet has a column for it, or a near one.
COLUMN_OF = {"sex": "sex", "species": "species", "vial": "vial", "length": "length"}


class CannotImport(Exception):
    """An import that cannot begin; the message says why."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


class _RolledBack(Exception):
    """Ends the transaction of an import that is only tried, or has a bad row."""


def import_fish(
    table: FileTable,
    settings: Settings,
    *,
    actor: User,
    now: datetime,
    commit: bool,
    progress: Callable[[int], None] = lambda rows: None,
) -> Report:
    """Take the rows in, or show what that would do. One bad row keeps all of them out.

    So does a file whose fish are here already under another name, unless the settings say
    that they are other fish. ``progress`` is called with the rows that are done.
    """
    report = Report(rows=len(table.rows), not_used=table.not_used)
    try:
        with atomic_with_revision():
            _import(table, settings, report, progress, actor=actor, now=now)
            if report.bad or not commit or (report.known_as and not settings.other_fish):
                raise _RolledBack
    except _RolledBack:
        pass
    except TryLater as problem:
        raise CannotImport(problem.code, str(problem)) from problem
    return report


def _import(
    table: FileTable,
    settings: Settings,
    report: Report,
    progress: Callable[[int], None],
    *,
    actor: User,
    now: datetime,
) -> None:
    lake, season = _waters(table, settings, report, actor=actor)
    actor = User.objects.get(pk=actor.pk)  # with the role it may just have been given
    reader = Reader(table, settings, report, lake)
    facts = [(row, reader.fish_of(row)) for row in table.rows]
    good = [(row, one) for row, one in facts if one is not None]
    reader.say_what_was_rounded()
    _say_defaults(table, settings, report)
    own = {_id(settings, "row", row.number) for row, _ in good}
    report.known_as, report.known = known_under_another_name(
        lake, season, [one for _, one in good], own
    )
    entries: list[PartyOpened | FishLogged] = []
    for facts_of_party, members in _parties(good):
        opened = _party(settings, lake, season, facts_of_party, now)
        entries.append(opened)
        entries += [_fish(settings, opened.party_id, row, one, now) for row, one in members]
        report.parties += 1
    for start in range(0, len(entries), ROWS_AT_A_TIME):
        part = entries[start : start + ROWS_AT_A_TIME]
        _sort_answers(part, ingest(part, author=actor, now=now), table, report)
        progress(start + len(part) - report.parties)
    report.bad.sort(key=lambda one: one.row)
    if not report.bad:
        _add_ages(good, settings, report, actor=actor, now=now)


def _waters(
    table: FileTable, settings: Settings, report: Report, *, actor: User
) -> tuple[Lake, Season]:
    """Find or make the lake, its season and the arms and species that the rows name."""
    known = Lake.objects.filter(name__iexact=settings.lake).first()
    if known is None and not settings.new_lake:
        _ask_about_near_names(settings.lake)
    report.new_lake = known is None
    lake = known or Lake.objects.create(
        name=settings.lake,
        slug=free_slug(settings.lake),
        length_unit="in" if unit_of(table, settings) == "in" else "mm",
    )
    if report.new_lake:
        add_role(actor, lake, Membership.Role.BIOLOGIST)
    elif not has_permission(actor, Permission.EDIT_WATERS, lake):
        sentence = f"{actor} is not a biologist of {lake}. Name one with --by."
        raise CannotImport("no_biologist", sentence)
    # The season of a lake is known by the year of its numbers; a spreadsheet knows no more.
    season, _ = Season.objects.get_or_create(
        lake=lake,
        number_year=settings.season,
        defaults={
            "name": str(settings.season),
            "starts_on": date(settings.season, 1, 1),
            "ends_on": date(settings.season, 12, 31),
        },
    )
    for name in sorted({row.get("arm") or WHOLE_LAKE for row in table.rows}):
        there = Arm.objects.filter(lake=lake, name__iexact=name).exists()
        if not there and (report.new_lake or name == WHOLE_LAKE):
            position = Arm.objects.filter(lake=lake).count()
            whole = name == WHOLE_LAKE
            Arm.objects.create(lake=lake, name=name, position=position, whole_lake=whole)
            report.new_arms.append(name)
    return lake, season


def _ask_about_near_names(name: str) -> None:
    """Ask before a second lake is made of a name that is nearly one there is.

    :raises CannotImport: with the names that are near
    """
    names = Lake.objects.order_by("name").values_list("name", flat=True)
    near = nearly_alike(name, list(names))
    if near:
        raise CannotImport(
            "near_name",
            f"There is no lake {name}, but there is {', '.join(near)}. "
            f'For that one, add --lake "{near[0]}". For a new lake, add --new-lake.',
        )


def _say_defaults(table: FileTable, settings: Settings, report: Report) -> None:
    stand_ins = {
        "arm": f"arm: {WHOLE_LAKE.lower()}",
        "caught_on": f"date: not known, season {settings.season}",
        "species": f"species: {settings.species}",
        "sex": "sex: not known",
        "method": f"method: {Method(settings.method).label.lower()}",
        "vial": "no vials: measured only",
    }
    report.defaults = [words for name, words in stand_ins.items() if name not in table.columns]
    if "age" in table.columns:
        report.defaults.append(f"ages as in the file, structure {settings.structure}")


def _parties(
    good: list[tuple[FileRow, RowFacts]],
) -> Iterator[tuple[RowFacts, list[tuple[FileRow, RowFacts]]]]:
    """Put fish of one arm, reach, day and method into one party: no more is known of them."""
    groups: dict[tuple[str, str, date | None, str], list[tuple[FileRow, RowFacts]]] = {}
    for row, facts in good:
        key = (facts.arm, facts.reach, facts.caught_on, facts.method)
        groups.setdefault(key, []).append((row, facts))
    for members in groups.values():
        yield members[0][1], members


def _id(settings: Settings, *what: object) -> UUID:
    """Return an id that follows from the source and the place in it: two equal rows are two fish.

    Yearly exports often share a file name, so the season is part of the source.
    """
    place = "/".join(str(word) for word in what)
    source = f"{slugify(settings.lake)}/{settings.season}/{settings.source}"
    return uuid5(NAMESPACE_URL, f"earstone/{source}/{place}")


def _party(
    settings: Settings, lake: Lake, season: Season, facts: RowFacts, now: datetime
) -> PartyOpened:
    party_id = _id(settings, "party", facts.arm, facts.reach, facts.caught_on, facts.method)
    return PartyOpened(
        entry_id=party_id,
        party_id=party_id,
        written_at=now,
        payload={"source": settings.source},
        lake=lake.slug,
        season=season.name,
        party=PartyFacts(
            arm=facts.arm,
            reach=facts.reach,
            caught_on=facts.caught_on,
            method=facts.method,
            how_chosen=HowChosen.NOT_KNOWN,
        ),
    )


def _fish(
    settings: Settings, party_id: UUID, row: FileRow, facts: RowFacts, now: datetime
) -> FishLogged:
    return FishLogged(
        entry_id=_id(settings, "row", row.number),
        party_id=party_id,
        written_at=now,
        payload={"source": settings.source, "row": row.number, **row.cells},
        fish=facts.fish,
    )


def _sort_answers(
    entries: list[PartyOpened | FishLogged],
    answers: list[Answer],
    table: FileTable,
    report: Report,
) -> None:
    for entry, answer in zip(entries, answers, strict=True):
        if isinstance(entry, PartyOpened):
            continue
        if answer.outcome in TAKEN:
            report.logged += answer.outcome == Outcome.LOGGED
            report.already += answer.outcome == Outcome.ALREADY_LOGGED
            continue
        report.bad += _bad_rows(entry, answer, table)


def _bad_rows(entry: FishLogged, answer: Answer, table: FileTable) -> Iterator[BadRow]:
    number = int(entry.payload["row"])
    problems = answer.errors or {"vial": [HELD_WORDS.get(answer.reason, answer.reason)]}
    unusual = f" {IF_RIGHT}" if answer.reason == "needs_answer" else ""
    for name, sentences in problems.items():
        column = table.columns.get(COLUMN_OF.get(name, name), name)
        found = str(entry.payload.get(name, "")) or "nothing"
        for sentence in sentences:
            yield BadRow(number, column, f"{sentence}{unusual if name == 'length' else ''}", found)


def _add_ages(
    good: list[tuple[FileRow, RowFacts]],
    settings: Settings,
    report: Report,
    *,
    actor: User,
    now: datetime,
) -> None:
    """Keep the ages as given. They stay apart from readings: no rule of ours made them."""
    ages = {_id(settings, "row", row.number): facts.age for row, facts in good}
    fish = Fish.objects.filter(
        entry_id__in=[entry_id for entry_id, age in ages.items() if age is not None],
        age_as_given__isnull=True,
    )
    new = [
        AgeAsGiven(
            fish=one,
            age_years=ages[one.entry_id] or 0,
            structure=settings.structure,
            source=settings.source,
        )
        for one in fish
    ]
    bulk_create_with_history(new, AgeAsGiven, default_user=actor, default_date=now)
    refresh_progress([one.fish_id for one in new])
    report.ages = len(new)
