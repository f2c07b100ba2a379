"""A list that went out, as text to paste and as what a feed holds."""

from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join

from samples.models import Ask
from samples.rules.lake_time import local_day
from samples.targets.queries.asks import lines_of


def sent_on(ask: Ask) -> str:
    """Return the lake's own day on which a list went out."""
    return date_format(local_day(ask.sent_at, ask.lake.time_zone))


def title_of(ask: Ask) -> str:
    return f"Fish needed from {ask.lake}, {sent_on(ask)}"


def text_of(ask: Ask, address: str = "") -> str:
    """Return the whole list as plain text, with where it is kept up to date."""
    lines = [f"- {line.words} ({line.arms_in_words})" for line in lines_of(ask)]
    found = [title_of(ask), *lines, *([ask.enough] if ask.enough else [])]
    return "\n".join([*found, *([f"Latest list: {address}"] if address else [])])


def html_of(ask: Ask) -> str:
    """Return the lines of a list as a feed holds them: as HTML, where line ends are none."""
    lines = format_html_join(
        "", "<li>{} ({})</li>", ((line.words, line.arms_in_words) for line in lines_of(ask))
    )
    enough = format_html("<p>{}</p>", ask.enough) if ask.enough else ""
    return format_html("<ul>{}</ul>{}", lines, enough)
