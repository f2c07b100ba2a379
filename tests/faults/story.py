"""What each simulated phone writes: entries of every kind, slips and all.

A story hangs on the seed and the number of its phone alone.
"""

import dataclasses
import random
import uuid
from datetime import timedelta

from samples.rules import vial_number

YEAR = 2026
DIGITS = 5
FISH_IN_A_STRETCH = 10
ARMS = ["Brindle", "Cutbank", "Hobbin"]
REACHES = ["", "Lower", "Middle", "Upper"]
DONORS = ["E. Quist", "M. Harrow", "S. Lindqvist"]
# Phones of the same person: both belong to the first of the two.
SHARED_PERSON = {7: 6}


@dataclasses.dataclass(eq=False)
class Written:
    """One entry as its phone knows it. ``earlier`` keeps words that were put right since."""

    words: dict
    confirm: str = ""
    retype: dict = dataclasses.field(default_factory=dict)
    # Reasons for which the story itself lets the office hold it, or the site refuse it.
    may_be_held: frozenset = frozenset()
    may_be_refused: frozenset = frozenset()
    earlier: list = dataclasses.field(default_factory=list)
    outcome: str = ""
    reason: str = ""

    def __str__(self):
        return f"{self.words['kind']} {self.words['entry_id']}"

    def put_right(self, reason):
        """Answer what the site asked, as the person with the phone would; say if that was done."""
        if reason != "needs_answer" or not (self.confirm or self.retype):
            return False
        self.earlier.append(self.words)
        confirmed = {"confirmed": [self.confirm]} if self.confirm else {}
        self.words = {**self.words, **self.retype, **confirmed}
        self.confirm, self.retype = "", {}
        return True


@dataclasses.dataclass
class PhoneStory:
    number: int
    person: int
    is_clerk: bool
    clock_error: timedelta
    written: list
    spare: str
    token: str = ""


@dataclasses.dataclass(frozen=True)
class Numbers:
    """Which vial numbers there are: first those that two phones use, then each phone's own."""

    phones: int
    fish: int

    @property
    def stretches(self):
        return max(1, self.fish // FISH_IN_A_STRETCH)

    @property
    def own_each(self):
        return self.fish + self.stretches + 4

    @property
    def all(self):
        return self.phones * (self.stretches + self.own_each)

    def shared(self, phone, stretch):
        return self._make(1 + stretch * self.phones + phone % self.phones)

    def own(self, phone, place):
        return self._make(1 + self.phones * self.stretches + phone * self.own_each + place)

    def never_printed(self, phone, place):
        return self._make(10**DIGITS - 1 - phone * 40 - place)

    def owner_of(self, sequence):
        """Tell whose hands the vial of this place in the sequence was given into."""
        shared = self.phones * self.stretches
        if sequence <= shared:
            return (sequence - 1) % self.phones
        return (sequence - 1 - shared) // self.own_each

    @staticmethod
    def _make(sequence):
        return vial_number.make(YEAR, sequence, DIGITS)


def make_stories(phones, fish, seed):
    numbers = Numbers(phones, fish)
    stories: list[PhoneStory] = []
    for number in range(phones):
        guest_vial = stories[-1].spare if number % 4 == 1 else ""
        stories.append(_Writer(number, numbers, seed).write(guest_vial))
    return stories


class _Writer:
    """Writes the story of one phone. Shared vials have lower numbers than anybody's own."""

    def __init__(self, number, numbers, seed):
        self.number = number
        self.numbers = numbers
        self.rng = random.Random(f"{seed} story {number}")
        self.is_clerk = number % 5 == 4
        self.party_id = self._id()
        self.written = []
        self.plain = []  # fish in own vials, nothing odd about them and nothing done to them
        self.used = 0

    def write(self, guest_vial):
        self._open()
        for place in range(self.numbers.fish):
            self._fish(place)
            self._aside(place)
        spare = self.numbers.own(self.number, self.used)
        if guest_vial:
            self._say("fish", **self._facts(guest_vial), may_be_held={"vial_taken"})
        self._shift()
        self._say("party_closed", count_in_hand=self.numbers.fish, last_number=spare)
        return PhoneStory(
            number=self.number,
            person=self.number - 1 if self.number % 10 in SHARED_PERSON else self.number,
            is_clerk=self.is_clerk,
            clock_error=timedelta(minutes=self.rng.choice([-4300, -600, -7, 0, 3, 45, 2900])),
            written=self.written,
            spare=spare,
        )

    def _id(self):
        return str(uuid.UUID(int=self.rng.getrandbits(128), version=4))

    def _say(self, kind, *, may_be_held=(), may_be_refused=(), confirm="", retype=None, **words):
        common = {"kind": kind, "schema": 1, "entry_id": self._id(), "party_id": self.party_id}
        entry = Written(
            {**common, **words},
            confirm=confirm,
            retype=retype or {},
            may_be_held=frozenset(may_be_held),
            may_be_refused=frozenset(may_be_refused),
        )
        self.written.append(entry)
        return entry

    def _party_words(self):
        return {
            "arm": self.rng.choice(ARMS),
            "reach": self.rng.choice(REACHES),
            "caught_on": self.rng.choice(["2026-05-05", "2026-05-06"]),
            "method": "creel" if self.is_clerk else "angler_kept",
            "how_chosen": "every_fish",
            "fish_in_box": self.rng.randint(10, 60),
            "kept": self.rng.choice(["fresh", "iced"]),
        }

    def _open(self):
        donor = {"donor_name": self.rng.choice(DONORS)} if self.is_clerk else {}
        self._say("party_opened", lake="lake-orrinbeck", **donor, **self._party_words())

    def _facts(self, vial, **words):
        tenths = self.rng.randint(60, 170)
        return {
            "vial": vial,
            "species": self.rng.choice(["white-crappie", "black-crappie"]),
            "length": f"{tenths / 10:.1f}",
            "unit": "in",
            "sex": self.rng.choice("FMIU"),
            "weight_g": self.rng.randint(80, 900),
            **words,
        }

    def _next_own(self):
        self.used += 1
        return self.numbers.own(self.number, self.used - 1)

    def _fish(self, place):
        stretch, slot = divmod(place, FISH_IN_A_STRETCH)
        last = place == self.numbers.fish - 1
        odd = {
            1: self._fish_without_vial,
            5: self._fish_with_wrong_digit,
            6: self._fish_of_odd_length,
            7: self._fish_with_slip,
            8: self._fish_in_no_known_vial,
        }
        if slot in {2, 3} and stretch < self.numbers.stretches and not last:
            # The neighbour uses the same two the other way round.
            vial = self.numbers.shared(self.number + 2 - slot, stretch)
            self._say("fish", **self._facts(vial), may_be_held={"vial_taken"})
        elif slot in odd and not last and self.rng.random() < 0.4:
            odd[slot]()
        else:
            vial = self._next_own()
            typed = vial_number.grouped(vial) if self.rng.random() < 0.3 else vial
            self.plain.append(self._say("fish", **self._facts(typed)))

    def _fish_without_vial(self):
        if self.is_clerk:
            self._say("fish", **self._facts(""))
        else:
            self._say("fish", **self._facts(""), may_be_refused={"no_vial"})

    def _fish_with_wrong_digit(self):
        vial = self._next_own()
        wrong = vial[:-1] + str((int(vial[-1]) + 5) % 10)
        self._say(
            "fish",
            **self._facts(wrong),
            confirm="wrong_check_digit",
            may_be_held={"wrong_check_digit"},
        )

    def _fish_of_odd_length(self):
        facts = self._facts(self._next_own(), length="21.4")
        self._say("fish", **facts, confirm="length_out_of_range")

    def _fish_with_slip(self):
        facts = self._facts(self._next_own(), length="94")
        self._say("fish", **facts, retype={"length": "9.4"})

    def _fish_in_no_known_vial(self):
        vial = self.numbers.never_printed(self.number, len(self.written) % 40)
        self._say("fish", **self._facts(vial), may_be_held={"unknown_vial"})

    def _aside(self, place):
        """Say, between two fish, something that is not a fish."""
        asides = {
            1: self._correct_facts,
            3: self._count_unmeasured,
            4: self._change_party,
            5: self._withdraw_shared,
            6: self._withdraw_plain,
            7: self._correct_held,
            8: self._correct_vial,
        }
        aside = asides.get(place % FISH_IN_A_STRETCH)
        if aside is not None and self.rng.random() < 0.7:
            aside()

    def _correct(self, fish, facts, **more):
        self._say("correction", about_entry_id=fish.words["entry_id"], **facts, **more)

    def _correct_facts(self):
        if self.plain:
            fish = self.rng.choice(self.plain)
            self._correct(fish, self._facts(fish.words["vial"]))

    def _correct_vial(self):
        if len(self.plain) > 3:
            fish = self.plain.pop(self.rng.randrange(len(self.plain)))
            self._correct(fish, self._facts(self._next_own()))

    def _correct_held(self):
        doomed = [one for one in self.written if "unknown_vial" in one.may_be_held]
        doomed += [one for one in self.written if "wrong_check_digit" in one.may_be_held]
        if doomed:
            facts = self._facts(self.numbers.own(self.number, 0))
            self._correct(doomed[0], facts, may_be_held={"unknown_fish"})

    def _count_unmeasured(self):
        self._say("unmeasured_count", species="white-crappie", count=self.rng.randint(1, 40))
        if self.rng.random() < 0.3:
            # Half of a sign that needs two, as a text cut at a fixed length leaves it.
            words = {"species": "black-crappie", "count": 3, "remark": "big \ud83d"}
            self._say("unmeasured_count", **words, may_be_refused={"unreadable"})

    def _change_party(self):
        change = self.rng.choice(["wrong", "moved"])
        self._say("party_changed", arm_change=change, **self._party_words())

    def _withdraw_shared(self):
        shared = [one for one in self.written if one.may_be_held == {"vial_taken"}]
        if shared and self.rng.random() < 0.4:
            self._withdraw(shared[0], may_be_held={"unknown_fish", "withdrawn"})

    def _withdraw_plain(self):
        if len(self.plain) > 3:
            fish = self.plain.pop(self.rng.randrange(len(self.plain) - 1))
            self._withdraw(fish)
            if self.rng.random() < 0.4:
                self._correct(fish, self._facts(fish.words["vial"]), may_be_held={"withdrawn"})

    def _withdraw(self, fish, may_be_held=()):
        about = fish.words["entry_id"]
        self._say("withdrawal", about_entry_id=about, may_be_held=may_be_held)

    def _shift(self):
        """Put the fish from one vial on into the next one; the neighbour may sit in the last."""
        if self.plain and self.rng.random() < 0.8:
            start = self.plain[len(self.plain) // 2].words["vial"]
            has_guest = self.number % 4 == 0
            blocked = {"shift_blocked"} if has_guest else ()
            self._say("shift", from_vial=start, by=1, may_be_refused=blocked)
