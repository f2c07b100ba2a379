"""Links from a term of the trade to its entry on the page Terms."""

from typing import Any

from django import template
from django.template import Context
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from samples.rules.terms import OF_FINDINGS, TERMS, Term

register = template.Library()


@register.simple_tag(takes_context=True)
def term(context: Context, key: str, words: str = "") -> SafeString:
    """Link a term to its entry, with its meaning as a tooltip for the mouse and the keyboard.

    Stand it where the term comes first on a page, once: the tooltip has an id.

    :raises KeyError: if no such term is kept
    """
    kept = TERMS[key]
    return format_html(
        '<span class="term"><a href="{}#{}" aria-describedby="term-{}">{}</a>'
        '<span class="term-tip" role="tooltip" id="term-{}">{}</span></span>',
        reverse("search:terms", args=[context["lake"].slug]),
        key,
        key,
        words or kept.name,
        key,
        kept.meaning,
    )


@register.simple_tag
def terms_of_finding(topic: Any) -> list[Term]:
    """Return the terms that a finding rests on."""
    return [TERMS[key] for key in OF_FINDINGS.get(str(topic), ())]
