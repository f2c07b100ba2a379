"""What tests ask of a page of this stage."""

import html

from django.urls import reverse

from tests.shown import error_codes, shown_errors


def url(name, lake, *more):
    return reverse(f"vials:{name}", args=[lake.slug, *more])


def page_of(response):
    return response.content.decode()


def assert_refused_at(response, field, code):
    """The error stands at its field and on top, and the link on top leads to the field."""
    page = page_of(response)
    assert response.status_code == 422
    assert "<title>Error: " in page
    assert error_codes(response)[field] == [code]
    [[sentence]] = [error.messages for error in shown_errors(response)[field]]
    assert html.unescape(page).count(sentence) == 2
    assert f'<a href="#id_{field}">' in page
    assert f'id="id_{field}"' in page
