"""The server's half of what server and phone both read and ask, over one table of cases.

The table is said_the_same.json; rules.test.mjs holds the phone's half to the same cases.
"""

import ast
import inspect
import json
import re
from collections.abc import Callable
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path

import pytest
from stdnum.iso7064 import mod_11_10

from samples import units
from samples.models import Fish, LabelRun, Season, Species, Vial
from samples.ramp import queries
from samples.ramp.queries import logging_page
from samples.rules import plausible, trips, vial_number, weight
from samples.rules.lake_time import local_day
from samples.rules.season_days import day_text
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take

TABLE = json.loads(Path(__file__).with_name("said_the_same.json").read_text(encoding="utf-8"))
IN_A_DATABASE = {"nextNumber", "seasonFor", "vialQuestions", "vialsEnding"}

QUESTIONS = ["lengthQuestions", "unreadableLengthQuestions", "spineQuestion", "dateQuestions"]

# Questions and refusals that a phone never comes to, each with the reason.
NOT_ON_THE_PHONE = {
    "age_above_highest": "ages are read at the bench",
    "no_such_number": "a number that does not exist is not offered",
    "unknown_vial": "a phone does not know every vial of a lake",
}


# ---------- The same functions by the phone's names ----------


def parse_vial(text):
    try:
        return {"number": vial_number.parse(text).number}
    except vial_number.WrongCheckDigit as refused:
        return {"code": refused.code, "sentence": refused.sentence, "number": refused.number}
    except vial_number.VialNumberRefused as refused:
        return {"code": refused.code, "sentence": refused.sentence}


def grouped(text):
    try:
        return vial_number.grouped(text)
    except vial_number.VialNumberUnreadable:
        return text


def step(number, by):
    try:
        return vial_number.step(number, by)
    except vial_number.VialNumberRefused:
        return None


def parse_length(text, unit):
    try:
        read = units.parse_length(text, units.LengthUnit(unit))
    except units.LengthUnreadable as refused:
        return {"code": refused.code, "sentence": refused.sentence}
    return {
        "hundredths": read.hundredths_mm,
        "unit": read.unit.value,
        "asMeasured": read.as_measured,
    }


def parse_weight(text, unit):
    try:
        return {"grams": weight.parse_weight(text, unit)}
    except weight.WeightUnreadable as refused:
        return {"code": refused.code, "sentence": refused.sentence}


def length_questions(measured, species):
    ends = species["least_hundredths_mm"], species["most_hundredths_mm"]
    asked = plausible.length_questions(
        measured["hundredths"],
        measured["asMeasured"],
        measured["unit"],
        None if None in ends else ends,
        species["name"],
    )
    return [asdict(question) for question in asked]


def unreadable_length_questions(text, unit, species):
    ends = species["least_hundredths_mm"], species["most_hundredths_mm"]
    asked = plausible.unreadable_length_questions(text, unit, None if None in ends else ends)
    return [asdict(question) for question in asked]


def spine_question(spines, species):
    asked = plausible.spine_question(
        spines, species["spines_least"], species["spines_most"], species["name"]
    )
    return asked and asdict(asked)


def date_questions(caught_on, today, season):
    ends = (season or {}).get("starts_on"), (season or {}).get("ends_on")
    days = [end and date.fromisoformat(end) for end in ends]
    asked = plausible.date_questions(
        date.fromisoformat(caught_on), date.fromisoformat(today), *days
    )
    return [asdict(question) for question in asked]


def closing_questions(in_hand, last, vials):
    asked = trips.closing_questions(in_hand, last, trips.VialsOfTrip(**vials))
    return [asdict(question) for question in asked]


BY_NAME: dict[str, Callable[..., object]] = {
    "checkDigit": mod_11_10.calc_check_digit,
    "parseVial": parse_vial,
    "grouped": grouped,
    "step": step,
    "endsWith": vial_number.ends_with,
    "near": vial_number.near,
    "noVialEndsSo": vial_number.no_vial_ends_so,
    "parseLength": parse_length,
    "parseWeight": parse_weight,
    "weightText": weight.weight_text,
    "lengthQuestions": length_questions,
    "unreadableLengthQuestions": unreadable_length_questions,
    "spineQuestion": spine_question,
    "dateQuestions": date_questions,
    "closingQuestions": closing_questions,
    "keyAfter": trips.key_after,
    "dayText": lambda day: day_text(date.fromisoformat(day)),
    "localDay": lambda at, zone: local_day(datetime.fromisoformat(at), zone).isoformat(),
}


def cases_of(*names):
    return [
        pytest.param(name, case["given"], case["gives"], id=f"{name}-{place}")
        for name in names
        for place, case in enumerate(TABLE[name])
    ]


@pytest.mark.parametrize(("name", "given", "gives"), cases_of(*BY_NAME))
def test_reads_and_asks_what_the_table_says(name, given, gives):
    assert BY_NAME[name](*given) == gives


# ---------- What the server asks of its tables, and the phone of its lists ----------


class Shelf:
    """Makes the vials that a case names: in whose hands they are, and with whose fish."""

    def __init__(self, party, guide, second_guide, office):
        self.party, self.guide, self.second_guide = party, guide, second_guide
        self.run = LabelRun.objects.create(
            season=party.season,
            first_sequence=1,
            count=9999,
            stock="sheet-35x15",
            made_by=office,
            made_at=NOW,
            request_id="00000000-0000-4000-8000-000000000077",
        )

    def has(self, number, *, issued_to):
        if Vial.objects.filter(number=number).exists():
            return
        Vial.objects.create(
            number=number,
            lake=self.party.lake,
            season=self.party.season,
            run=self.run,
            # Numbers of several years stand on one shelf here.
            sequence=Vial.objects.count() + 1,
            state=Vial.State.ISSUED if issued_to else Vial.State.PRINTED,
            issued_to=issued_to,
            issued_at=NOW if issued_to else None,
        )

    def logs_own(self, number, **words):
        self.has(number, issued_to=self.guide)
        take(self.guide, entries.fish(self.party.party_id, number, **words))

    def another_logs(self, number):
        self.has(number, issued_to=self.second_guide)
        opened = entries.party()
        take(self.second_guide, opened, entries.fish(opened["party_id"], number))

    def stands(self, logged):
        """Return whether so many fish are in vials, so that no case passes for an empty shelf."""
        return Fish.objects.filter(vial__isnull=False).count() == logged


@pytest.fixture
def shelf(party, guide, second_guide, office):
    return Shelf(party, guide, second_guide, office)


@pytest.mark.parametrize(("name", "given", "gives"), cases_of("seasonFor"))
def test_finds_the_season_that_the_table_says(name, given, gives, lake):
    seasons, day = given
    Season.objects.filter(lake=lake).delete()
    for place, ends in enumerate(seasons):
        Season.objects.create(lake=lake, name=f"season {place}", number_year=2026, **ends)

    found = queries.season_for(lake, date.fromisoformat(day))

    assert gives == (found and {"starts_on": f"{found.starts_on}", "ends_on": f"{found.ends_on}"})


@pytest.mark.parametrize(("name", "given", "gives"), cases_of("vialQuestions"))
def test_asks_about_the_vials_that_the_table_says(name, given, gives, shelf):
    number, known = given
    for own, words in known["usedHere"].items():
        name, length, unit = re.fullmatch(r"your ([\w ]+) of (\S+) (\w+)", words).groups()
        species = Species.objects.get(name=name).code
        shelf.logs_own(own, species=species, length=length, unit=unit)
    for used in known["usedBefore"]:
        shelf.another_logs(used)
    for held in known["inHand"]:
        shelf.has(held, issued_to=shelf.guide)
    # In whose hands it is, a phone without a list does not know.
    shelf.has(number, issued_to=shelf.second_guide if known["inHand"] else None)

    asked = queries.vial_questions(shelf.guide, shelf.party, number)

    assert shelf.stands(len({*known["usedHere"], *known["usedBefore"]}))
    assert [asdict(question) for question in asked] == gives


@pytest.mark.parametrize(("name", "given", "gives"), cases_of("vialsEnding"))
def test_finds_the_vials_that_the_table_says(name, given, gives, shelf):
    in_hand, digits = given
    for held in in_hand:
        shelf.has(held, issued_to=shelf.guide)

    assert list(queries.vials_ending(shelf.guide, digits).numbers) == gives


@pytest.mark.parametrize(("name", "given", "gives"), cases_of("nextNumber"))
def test_offers_the_number_that_the_table_says(name, given, gives, shelf):
    [known] = given
    last = known["lastInParty"]
    by_others = [number for number in known["used"] if number != last]
    for used in by_others:
        shelf.another_logs(used)
    for held in known["inHand"]:
        shelf.has(held, issued_to=shelf.guide)
    if last:
        shelf.logs_own(last)
    if last and not known["inHand"] and (following := step(last, 1)):
        # A phone without a list trusts the sequence, so here the number is free.
        shelf.has(following, issued_to=None)

    assert shelf.stands(len(by_others) + bool(last))
    assert shelf.party.season.number_year == known["year"]
    assert queries.next_number_for(shelf.guide, shelf.party) == gives


# ---------- Nothing forgotten ----------


def codes_in(module, made_by="_?[A-Z][a-z].*|__init__"):
    """Find the codes that a module gives with a sentence: what its questions are made with."""
    calls = ast.walk(ast.parse(inspect.getsource(module)))
    made = [
        call
        for call in calls
        if isinstance(call, ast.Call)
        and re.fullmatch(made_by, getattr(call.func, "attr", getattr(call.func, "id", "")))
    ]
    first = [call.args[0] for call in made if call.args]
    named = [said.value for call in made for said in call.keywords if said.arg == "code"]
    words = [node.value for node in [*first, *named] if isinstance(node, ast.Constant)]
    return {word for word in words if re.fullmatch("[a-z]+(_[a-z]+)*", str(word))}


def codes_given(*names):
    """Return the codes that the table gives for these functions."""
    gives = [case["gives"] for name in names for case in TABLE[name]]
    found = [one for each in gives for one in (each if isinstance(each, list) else [each])]
    return {one["code"] for one in found if isinstance(one, dict) and "code" in one}


@pytest.mark.parametrize(
    ("codes", "names"),
    [
        (codes_in(vial_number), ["parseVial"]),
        (codes_in(units), ["parseLength"]),
        (
            codes_in(plausible),
            QUESTIONS,
        ),
        (codes_in(logging_page, "Question"), ["vialQuestions"]),
        (codes_in(trips, "Question"), ["closingQuestions"]),
    ],
    ids=["vial_number", "units", "plausible", "at_the_ramp", "trips"],
)
def test_every_question_and_refusal_stands_in_the_table(codes, names):
    assert len(codes) >= 3
    assert codes - NOT_ON_THE_PHONE.keys() == codes_given(*names)


def test_what_is_left_to_the_server_is_asked_there():
    modules = codes_in(vial_number) | codes_in(plausible) | codes_in(logging_page, "Question")

    assert NOT_ON_THE_PHONE.keys() - modules == set()


def test_every_spelling_of_a_unit_stands_in_the_table():
    typed = {case["given"][0] for case in TABLE["parseLength"] if "hundredths" in case["gives"]}

    endings = {re.sub(r"^[0-9., ]+", "", text) for text in typed}
    assert set(units._SPELLINGS) - endings == set()


def test_the_table_is_long_and_every_part_of_it_is_asked():
    assert TABLE.keys() == BY_NAME.keys() | IN_A_DATABASE
    assert sum(len(cases) for cases in TABLE.values()) >= 150
    asked = [json.dumps([name, case["given"]]) for name in TABLE for case in TABLE[name]]
    assert len(asked) == len(set(asked))
