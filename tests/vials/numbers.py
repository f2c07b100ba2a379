"""The numbers that these tests speak of, all of the year 2026."""

from samples.rules import vial_number

SHEET = "sheet-35x15"


def number(sequence, digits=4):
    return vial_number.make(2026, sequence, digits)


def numbers_of(run):
    return list(run.vials.order_by("sequence").values_list("number", flat=True))
