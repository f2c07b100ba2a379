"""What an angler without an account may learn of a fish: its species, length and age."""

from collections.abc import Iterable
from dataclasses import dataclass

from samples.models import Fish, Lake, Vial
from samples.rules.slip_word import is_slip_word, slip_word
from samples.rules.vial_number import read_vial


@dataclass(frozen=True, slots=True)
class FishOfSlip:
    """A fish as its slip tells of it: no place, no date, nobody's name.

    ``age_years`` is empty as long as it is not aged.
    """

    species: str
    length: str
    age_years: int | None


def fish_of_slip(number: str, word: str) -> FishOfSlip | None:
    """Return the fish of a slip's number and word, or None where no slip says so.

    A wrong number and a wrong word ask the database the same and take the same time.
    """
    digits = read_vial(number).number or ""
    vial = Vial.objects.filter(number=digits).select_related("lake").first()
    is_right = is_slip_word(word, vial.lake.slip_key if vial else "", digits)
    fish = (
        Fish.objects.filter(vial__number=digits, withdrawn=False)
        .select_related("species", "age", "age_as_given")
        .first()
    )
    return _as_told(fish) if is_right and fish is not None else None


def _as_told(fish: Fish) -> FishOfSlip:
    age = getattr(fish, "age", None) or getattr(fish, "age_as_given", None)
    length = f"{fish.length_as_measured} {fish.length_unit_as_measured}"
    return FishOfSlip(fish.species.name, length, age.age_years if age is not None else None)


def slip_words(lake: Lake, numbers: Iterable[str]) -> dict[str, str]:
    """Return the words of these vials' slips; none at a lake without a key."""
    return {number: slip_word(lake.slip_key, number) for number in numbers if lake.slip_key}
