"""How the pages of a lake write bin widths, days of the year and shares."""

from decimal import Decimal

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
    """Write a day of the year: April 1."""
    return rules.month_day_text(stored)


@register.filter
def percent(share: Decimal) -> str:
    """Write a share as percent, without its sign: 7.5."""
    return rules.percent_text(share)


@register.filter
def rate(share: Decimal) -> str:
    """Write the share that dies in a year as a rate per year: 0.36."""
    return rules.rate_text(share)
