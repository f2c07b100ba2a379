"""How the pages of a lake write bin widths and days of the year."""

from django import template

from samples.units import LengthUnit
from samples.waters import rules

register = template.Library()


@register.filter
def bin_width(hundredths_mm: int, unit: str) -> str:
    """Write the width of a length bin with its unit: 1 in."""
    return rules.width_text(hundredths_mm, LengthUnit(unit))


@register.filter
def month_day(stored: str) -> str:
    """Write a day of the year: 1 April."""
    return rules.month_day_text(stored)
