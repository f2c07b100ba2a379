"""Figures of the lab's pages: shares, and differences with their sign."""

from django import template

register = template.Library()


@register.filter
def percent(share: float) -> str:
    """Return a share as whole percent."""
    return f"{100 * share:.0f}%"


@register.filter
def points(difference: float) -> str:
    """Return a difference of shares in percentage points, with its sign."""
    return _signed(100 * difference, 0)


@register.filter
def signed(years: float) -> str:
    """Return a difference in years with its sign."""
    return _signed(years, 2)


def _signed(value: float, decimals: int) -> str:
    text = f"{value:+.{decimals}f}"
    return text.lstrip("+-") if float(text) == 0 else text.replace("-", "−")
