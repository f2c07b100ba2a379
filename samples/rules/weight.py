"""Weights in grams, in pounds and ounces, or in pounds: typed in a lake's unit, kept in grams.

The avoirdupois pound is 0.45359237 kg exactly, and an ounce its sixteenth.
"""

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal

GRAMS_PER_POUND = Decimal("453.59237")
OUNCES_PER_POUND = 16
MOST_GRAMS = 60_000
GRAM, POUND_AND_OUNCE, POUND = "g", "lb_oz", "lb"

_SUCH_AS = {
    GRAM: "Enter weight in g, such as 310.",
    POUND_AND_OUNCE: "Enter weight in pounds and ounces, such as 0 lb 11 oz.",
    POUND: "Enter weight in pounds to the hundredth, such as 0.68.",
}
_TOO_MUCH = "Enter a weight above 0, up to 132 lb (60,000 g)."
_NUMBER = r"[0-9]{1,6}(?:\.[0-9]{1,3})?"
_GRAMS = re.compile(rf"({_NUMBER})\s*(g|kg)", re.ASCII)
_POUNDS = re.compile(
    rf"(?:({_NUMBER})\s*(?:lbs?|lbs?\.|pounds?)\s*)?(?:({_NUMBER})\s*(?:oz|oz\.|ounces?))?",
    re.ASCII,
)
# With the unit of its number left out, by the lake's unit.
_BARE = {GRAM: "{} g", POUND: "{} lb"}


class WeightUnreadable(ValueError):
    """Say in a sentence fit to stand next to the field why a weight could not be read."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence


def parse_weight(text: str, unit: str) -> int:
    """Read a typed weight as grams; a unit written in the value wins over the lake's.

    A decimal comma is accepted. Grams are kept whole, ounces to the tenth, pounds to the
    hundredth.

    :raises WeightUnreadable: if it is no weight
    """
    cleaned = unicodedata.normalize("NFKC", text).strip().lower().replace(",", ".")
    if re.fullmatch(_NUMBER, cleaned) and unit in _BARE:
        cleaned = _BARE[unit].format(cleaned)
    grams = _grams(cleaned)
    if grams is None:
        raise WeightUnreadable("not_a_weight", _SUCH_AS[unit])
    whole = int(grams.quantize(Decimal(1), rounding=ROUND_HALF_UP))
    if not 1 <= whole <= MOST_GRAMS:
        raise WeightUnreadable("weight_out_of_range", _TOO_MUCH)
    return whole


def _grams(cleaned: str) -> Decimal | None:
    if metric := _GRAMS.fullmatch(cleaned):
        grams = Decimal(metric[1]) * (1000 if metric[2] == "kg" else 1)
        return None if grams % 1 else grams
    match = _POUNDS.fullmatch(cleaned)
    if match is None or not cleaned:
        return None
    pounds, ounces = Decimal(match[1] or 0), Decimal(match[2] or 0)
    both = match[1] is not None and match[2] is not None
    if both and (pounds % 1 or ounces >= OUNCES_PER_POUND):
        return None
    if pounds * 100 % 1 or ounces * 10 % 1:
        return None
    return (pounds + ounces / OUNCES_PER_POUND) * GRAMS_PER_POUND


def weight_text(grams: int, unit: str) -> str:
    """Write a weight in a lake's unit: grams, ounces to the tenth, pounds to the hundredth."""
    if unit == GRAM:
        return f"{grams} g"
    pounds = Decimal(grams) / GRAMS_PER_POUND
    if unit == POUND:
        return f"{pounds.quantize(Decimal('0.01'), rounding=ROUND_HALF_UP)} lb"
    tenths = int((pounds * OUNCES_PER_POUND * 10).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    whole, rest = divmod(tenths, OUNCES_PER_POUND * 10)
    ounces = f"{rest // 10}.{rest % 10}".removesuffix(".0")
    return f"{whole} lb {ounces} oz"
