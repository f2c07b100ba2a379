"""What a page shows, as codes: the errors of its forms, its questions and its messages.

Each stands in the answer only where the page itself has the sentence that it goes with, so that a
page that swallows an error is noticed and one that words it better is not.
"""

import html
import re
from typing import Any

from django.forms import BaseForm


def error_codes(response):
    """Return the codes of the errors that a page shows, by the name of their field."""
    return {
        name: [error.code for error in errors] for name, errors in shown_errors(response).items()
    }


def shown_errors(response):
    """Return the errors that a page shows, by the name of their field."""
    found: dict[str, list[Any]] = {}
    for form in _forms(response):
        for name, errors in form.errors.as_data().items():
            found.setdefault(name, []).extend(
                error
                for error in errors
                if all(_is_shown(sentence, response) for sentence in error.messages)
            )
    return found


def question_codes(response):
    """Return the codes of the questions that a page asks before it saves."""
    return [
        asked.question.code
        for form in _forms(response)
        for asked in getattr(form, "questions", ())
        if _is_shown(asked.question.sentence, response)
    ]


def message_tags(response):
    """Return the tags of the messages on a page: a code where there is one, and a level."""
    shown = response.context["messages"]
    return [message.tags for message in shown if _is_shown(message.message, response)]


def templates_of(response):
    """Return the names of the templates that a page was drawn with."""
    return {template.name for template in response.templates}


def _forms(response):
    """Return every bound form of a page once, those in a dict of forms too."""
    seen = {}
    for layer in response.context or ():
        for value in layer.flatten().values() if hasattr(layer, "flatten") else layer.values():
            for one in value.values() if isinstance(value, dict) else (value,):
                if isinstance(one, BaseForm) and one.is_bound:
                    seen[id(one)] = one
    return list(seen.values())


def _is_shown(sentence, response):
    # A word of the sentence may stand large.
    plain = re.sub(r"</?strong[^>]*>", "", response.content.decode())
    text = " ".join(html.unescape(plain).split())
    return " ".join(html.unescape(str(sentence)).split()) in text
