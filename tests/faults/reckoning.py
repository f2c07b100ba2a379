"""The reckoning: what phones believe, against what stands in the database."""

import collections
import dataclasses
import itertools
from datetime import UTC, datetime

from django.db.models import Count, F
from django.test import Client
from django.urls import reverse

from samples.models import Donor, Entry, Fish, HeldEntry, Party, UnmeasuredCount, Vial, progress_of
from tests.faults.expected import PARTY_WORDS, Expected, digits, facts_of
from tests.faults.proxy import as_key

TAKEN_IN = {"logged", "already_logged"}


@dataclasses.dataclass
class Span:
    """When the run went on, by the server's clock."""

    begun: datetime
    ended: datetime

    @classmethod
    def since(cls, begun):
        return cls(begun, datetime.now(UTC))

    def holds(self, at):
        return self.begun <= at <= self.ended


class Reckoning:
    """All rows and all beliefs, fetched once; ``faults`` lists what does not fit."""

    def __init__(self, phones, answers, office, span):
        self.phones = phones
        self.answers = answers
        self.office = office
        self.span = span
        self.expected = {phone.story.number: Expected(phone.heard) for phone in phones}
        self.fish = _by_entry(
            Fish.objects.select_related("species", "vial", "arm", "reach", "party", "phone")
        )
        self.held = _by_entry(HeldEntry.objects.all())
        self.entries = _by_entry(Entry.objects.select_related("party"))
        self.counts = _by_entry(UnmeasuredCount.objects.all())
        self.donors = dict(Donor.objects.values_list("pk", "name"))

    def faults(self):
        """List what does not fit, under the name of what was looked at."""
        checks = {
            "answers contradict each other": self._answers_contradict(),
            "an entry speaks of nothing": self._unfounded(),
            "phones still wait": self._phones_wait(),
            "a belief fails": self._beliefs_fail(),
            "a fish reads otherwise": self._fish_differ(),
            "a party reads otherwise": self._parties_differ(),
            "rows that nobody said": self._rows_nobody_said(),
            "vials and fish disagree": self._vials_disagree(),
            "a contested fish is lost": self._contested_are_lost(),
            "the history has gaps": self._histories_gape(),
        }
        found = {name: list(check) for name, check in checks.items()}
        return {name: faults for name, faults in found.items() if faults}

    # ---------- What was answered ----------

    def _answers_contradict(self):
        for words, answers in self.answers.items():
            outcomes = collections.Counter(outcome for outcome, _ in answers)
            if outcomes["logged"] > 1:
                yield f"answered 'logged' {outcomes['logged']} times: {words}"
            if outcomes["held"] and TAKEN_IN & outcomes.keys():
                yield f"answered both as logged and as held: {words}"

    def _phones_wait(self):
        for phone in self.phones:
            yield from (f"phone {phone.story.number}: {what}" for what in phone.complaints)
            left = len(phone.story.written) - phone.settled
            if phone.outbox or left:
                yield f"phone {phone.story.number} still waits for the answer to {left} entries"

    def _unfounded(self):
        for number, expected in self.expected.items():
            for words in expected.unfounded:
                yield f"phone {number}: taken in, of what was not called logged: {words}"

    # ---------- Entry by entry ----------

    def _beliefs_fail(self):
        for phone in self.phones:
            for entry in phone.heard:
                check = self._believed_taken if entry.outcome in TAKEN_IN else self._believed_held
                yield from check(entry)
            for entry in phone.given_up:
                yield from self._not_believed(entry)

    def _believed_taken(self, entry):
        is_fish = entry.words["kind"] == "fish"
        rows = (self.fish if is_fish else self.entries)[entry.words["entry_id"]]
        if len(rows) != 1:
            yield f"{entry} was {entry.outcome} and is there {len(rows)} times"
            return
        [row] = rows
        said_at = datetime.fromisoformat(entry.words["written_at"])
        yield from self._times(entry, row.logged_at if is_fish else row.said_at, said_at, row)
        if not is_fish and self._words_of(row) != entry.words:
            yield f"{entry} is kept with other words: {row.said}"
        if not is_fish and row.party is None:
            yield f"{entry} belongs to no party"
        if entry.words["kind"] == "unmeasured_count":
            counts = self.counts[entry.words["entry_id"]]
            if [one.count for one in counts] != [entry.words["count"]]:
                yield f"{entry} is not counted once with its number"

    def _believed_held(self, entry):
        if entry.reason not in entry.may_be_held:
            yield f"{entry} is held as {entry.reason!r}, for which its story gives no cause"
        rows = self.held[entry.words["entry_id"]]
        rows = [row for row in rows if self._words_of(row) == entry.words]
        if len(rows) != 1:
            yield f"{entry} was held and waits {len(rows)} times with its own words"
        for row in rows:
            said_at = datetime.fromisoformat(entry.words["written_at"])
            yield from self._times(entry, row.said_at, said_at, row)
            if (row.reason, row.state) != (entry.reason, HeldEntry.State.OPEN):
                yield f"{entry} waits as {row.reason}, {row.state}, not as {entry.reason}"
        if self.fish[entry.words["entry_id"]] or self.entries[entry.words["entry_id"]]:
            yield f"{entry} was held and is taken in as well"

    def _not_believed(self, entry):
        if entry.reason not in entry.may_be_refused:
            yield f"{entry} was refused as {entry.reason!r}, for which its story gives no cause"
        if self.fish[entry.words["entry_id"]] or self.entries[entry.words["entry_id"]]:
            yield f"{entry} was refused and is taken in nevertheless"

    def _times(self, entry, kept, said_at, row):
        if kept != said_at:
            yield f"{entry}: written at {said_at} by the phone's clock, kept as {kept}"
        if not self.span.holds(row.received_at):
            yield f"{entry}: received at {row.received_at}, which is not within the run"

    def _words_of(self, row):
        """Return the words that came: a donor's name stands in the donor's row alone."""
        words = dict(row.said)
        if "donor" in words:
            words["donor_name"] = self.donors.get(words.pop("donor"))
        return words

    # ---------- Fish and parties as they should read ----------

    def _fish_differ(self):
        for phone in self.phones:
            for entry_id, expected in self.expected[phone.story.number].fish.items():
                for row in self.fish[entry_id]:
                    party = self.expected[phone.story.number].party
                    yield from _differences(f"fish {entry_id}", _fish_as_is(row), {
                        **facts_of(expected.words),
                        "vial": expected.vial,
                        "withdrawn": expected.withdrawn,
                        "arm": expected.arm,
                        "reach": expected.reach,
                        "leg": expected.leg,
                        "party": expected.logged["party_id"],
                        "caught_on": party.words["caught_on"],
                        "method": party.words["method"],
                        "progress": progress_of(row.vial),
                    })  # fmt: skip

    def _parties_differ(self):
        rows = collections.defaultdict(list)
        for party in Party.objects.select_related("arm", "reach"):
            rows[str(party.party_id)].append(party)
        for phone in self.phones:
            expected = self.expected[phone.story.number].party
            if expected is None:
                continue
            found = rows.pop(expected.opened["party_id"], [])
            if len(found) != 1:
                yield f"party of phone {phone.story.number} is there {len(found)} times"
            for party in found:
                yield from _differences(
                    f"party {party.party_id}", _party_as_is(party), _party_as_said(expected)
                )
        yield from (f"party {party_id} was opened by no phone" for party_id in rows)
        named = Donor.objects.filter(person=None).values("lake", "name")
        for donor in named.annotate(times=Count("pk")).filter(times__gt=1):
            yield f"donor {donor['name']} is there {donor['times']} times"

    # ---------- Rows that belong to nothing ----------

    def _rows_nobody_said(self):
        said, sent = set(), set()
        for entry in itertools.chain.from_iterable(phone.story.written for phone in self.phones):
            said.add(entry.words["entry_id"])
            sent |= {as_key(words) for words in [entry.words, *entry.earlier]}
        for name in ("fish", "entries", "counts"):
            for entry_id in getattr(self, name).keys() - said:
                yield f"{name}: {entry_id} was written by no phone"
        for rows in self.held.values():
            for row in rows:
                if as_key(self._words_of(row)) not in sent:
                    yield f"{row} waits with words that no phone wrote: {row.said}"

    def _vials_disagree(self):
        crowded = (
            Fish.objects.filter(vial__isnull=False)
            .values("vial__number")
            .annotate(fish_in_it=Count("pk"))
            .filter(fish_in_it__gt=1)
        )
        for vial in crowded:
            yield f"vial {vial['vial__number']} holds {vial['fish_in_it']} fish"
        used = set(Vial.objects.filter(state=Vial.State.USED).values_list("number", flat=True))
        full = set(Fish.objects.filter(vial__isnull=False).values_list("vial__number", flat=True))
        yield from (f"vial {number} is called used and holds no fish" for number in used - full)
        yield from (f"vial {number} holds a fish and is not called used" for number in full - used)
        elsewhere = Fish.objects.exclude(lake=F("party__lake"), season=F("party__season"))
        yield from (f"{fish} is not where its party is" for fish in elsewhere)

    def _contested_are_lost(self):
        """Return each fish that wanted a vial of two is there or waits;
        all that wait are listed.
        """
        client = Client(headers={"host": "localhost"})
        client.force_login(self.office, backend="django.contrib.auth.backends.ModelBackend")
        page = "".join(_held_pages(client))
        for rows in self.held.values():
            for row in rows:
                if reverse("ramp:held_entry", args=["lake-orrinbeck", row.pk]) not in page:
                    yield f"{row} waits and is not on the office's list"
        for vial, claims in self.contested().items():
            for entry in claims:
                entry_id = entry.words["entry_id"]
                if not (self.fish[entry_id] or self.held[entry_id]):
                    yield f"vial {vial}: {entry} is neither logged nor waiting"

    def contested(self):
        """Return the vials that fish of two phones were said to be in, with those fish."""
        claims = collections.defaultdict(list)
        for phone in self.phones:
            for entry in phone.story.written:
                if entry.words["kind"] == "fish" and entry.words["vial"]:
                    claims[digits(entry.words["vial"])].append(entry)
        return {vial: said for vial, said in claims.items() if len(said) > 1}

    def _histories_gape(self):
        rows: dict[str, collections.Counter] = collections.defaultdict(collections.Counter)
        for entry_id, kind in Fish.history.values_list("entry_id", "history_type"):
            rows[str(entry_id)][kind] += 1
        for phone in self.phones:
            for entry_id, expected in self.expected[phone.story.number].fish.items():
                kinds = rows.pop(entry_id, collections.Counter())
                if kinds["+"] != 1:
                    yield f"fish {entry_id} begins {kinds['+']} times in its history"
                if kinds["~"] < expected.changes:
                    yield f"fish {entry_id} changed {expected.changes} times, history {kinds['~']}"
        yield from (f"history speaks of fish {entry_id}, which is not there" for entry_id in rows)


def _by_entry(rows):
    found = collections.defaultdict(list)
    for row in rows:
        found[str(row.entry_id)].append(row)
    return found


def _fish_as_is(row):
    return {
        "species__code": row.species.code,
        "length_hundredths_mm": row.length_hundredths_mm,
        "length_as_measured": row.length_as_measured,
        "length_unit_as_measured": row.length_unit_as_measured,
        "sex": row.sex,
        "weight_g": row.weight_g,
        "vial_number_said": row.vial_number_said,
        "slip_answers": row.slip_answers,
        "vial": row.vial.number if row.vial else "",
        "withdrawn": row.withdrawn,
        "arm": row.arm.name,
        "reach": row.reach.name if row.reach else "",
        "leg": row.leg,
        "party": str(row.party.party_id),
        "caught_on": str(row.caught_on),
        "method": row.method,
        "progress": row.progress,
    }


def _party_as_is(party):
    return {
        **{name: getattr(party, name) for name in PARTY_WORDS},
        "caught_on": str(party.caught_on),
        "arm": party.arm.name,
        "reach": party.reach.name if party.reach else "",
        "leg": party.leg,
        "opened_at": party.opened_at,
        "is_closed": party.closed_at is not None,
        "count_in_hand": party.count_in_hand,
        "last_number_said": party.last_number_said,
    }


def _party_as_said(expected):
    return {
        **{name: expected.words[name] for name in (*PARTY_WORDS, "arm", "reach")},
        "leg": expected.leg,
        "opened_at": datetime.fromisoformat(expected.opened["written_at"]),
        "is_closed": bool(expected.closed),
        "count_in_hand": expected.closed.get("count_in_hand"),
        "last_number_said": expected.closed.get("last_number", ""),
    }


def _differences(what, found, wanted):
    for name, value in wanted.items():
        if found[name] != value:
            yield f"{what}: {name} is {found[name]!r} and should be {value!r}"


def _held_pages(client):
    """Yield each page of the office's list of held entries."""
    address, number = reverse("ramp:held", args=["lake-orrinbeck"]), 1
    while True:
        page = client.get(address, {"page": number}).content.decode()
        yield page
        number += 1
        if f"page={number}" not in page:
            return
