"""What should stand in the database, worked out from what the phones were answered.

A phone sends in the order in which it wrote, and whole batches come in or none: so the
order in which it heard its answers is the order in which its entries took effect. That
makes the end state of its own party plain bookkeeping, which knows nothing of the site.
"""

import dataclasses
from decimal import Decimal

from samples.rules import vial_number

PARTY_WORDS = ("caught_on", "method", "how_chosen", "fish_in_box", "kept")
HUNDREDTHS_IN = {"in": 2540, "mm": 100}


@dataclasses.dataclass
class ExpectedFish:
    logged: dict
    words: dict
    vial: str
    arm: str
    reach: str
    leg: int
    withdrawn: bool = False
    # Corrections, withdrawal, shifts: each leaves at least one row more in the history.
    changes: int = 0


@dataclasses.dataclass
class ExpectedParty:
    opened: dict
    words: dict
    leg: int = 1
    closed: dict = dataclasses.field(default_factory=dict)


class Expected:
    """The end state of one phone's party."""

    def __init__(self, heard):
        self.party = None
        self.fish = {}
        # Entries taken in that speak of a party or fish which the phone was not told is there.
        self.unfounded = []
        for entry in heard:
            if entry.outcome in {"logged", "already_logged"}:
                self._take_in(entry.words)

    def _take_in(self, words):
        opens = words["kind"] == "party_opened"
        about = words.get("about_entry_id")
        if (self.party is None and not opens) or (about and about not in self.fish):
            self.unfounded.append(words)
            return
        getattr(self, f"_{words['kind']}")(words)

    def _party_opened(self, words):
        self.party = ExpectedParty(opened=words, words=words)

    def _party_changed(self, words):
        moved = words["arm_change"] == "moved"
        self.party.leg += moved
        self.party.words = words
        for fish in self.fish.values():
            if not moved and fish.leg == self.party.leg:
                fish.arm, fish.reach = words["arm"], words["reach"]

    def _party_closed(self, words):
        self.party.closed = words

    def _unmeasured_count(self, words):
        pass  # a row of its own, which changes no other

    def _fish(self, words):
        self.fish[words["entry_id"]] = ExpectedFish(
            logged=words,
            words=words,
            vial=digits(words["vial"]),
            arm=self.party.words["arm"],
            reach=self.party.words["reach"],
            leg=self.party.leg,
        )

    def _correction(self, words):
        fish = self.fish[words["about_entry_id"]]
        fish.words, fish.vial = words, digits(words["vial"])
        fish.changes += 1

    def _withdrawal(self, words):
        fish = self.fish[words["about_entry_id"]]
        fish.vial, fish.withdrawn = "", True
        fish.changes += 1

    def _shift(self, words):
        start = digits(words["from_vial"])
        for fish in self.fish.values():
            if fish.vial and fish.vial >= start:
                fish.vial = vial_number.step(fish.vial, words["by"])
                fish.changes += 1


def digits(typed):
    return "".join(typed.split())


def facts_of(words):
    """Return the columns of a fish that repeat what was said of it, as they should read."""
    length = Decimal(words["length"]) * HUNDREDTHS_IN[words["unit"]]
    return {
        "species__code": words["species"],
        "length_hundredths_mm": int(length),
        "length_as_measured": words["length"],
        "length_unit_as_measured": words["unit"],
        "sex": words["sex"],
        "weight_g": words["weight_g"],
        "vial_number_said": words["vial"],
        "slip_answers": sorted(words.get("confirmed", [])),
    }
