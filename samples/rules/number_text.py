"""Numbers as pages write them: a true minus, no sign before 0, and 29% closed up."""

MINUS = "\N{MINUS SIGN}"
PERCENT = "%"


def number_text(value: float, decimals: int = 0, *, signed: bool = False) -> str:
    """Return a rounded number; with its plus where it is a change."""
    text = f"{value:{'+' if signed else ''}.{decimals}f}"
    # Nothing, rounded, is 0: neither -0 nor +0.
    return text.replace("-", MINUS) if float(text) else text.lstrip("+-")


def with_unit(number: str, unit: str) -> str:
    """Write a unit behind a number."""
    if not unit:
        return number
    return f"{number}{unit}" if unit == PERCENT else f"{number} {unit}"
