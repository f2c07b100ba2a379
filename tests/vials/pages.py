"""What tests ask of a page of this stage."""

from django.urls import reverse


def url(name, lake, *more):
    return reverse(f"vials:{name}", args=[lake.slug, *more])


def page_of(response):
    return response.content.decode()


def assert_told_at(response, field, sentence):
    """The sentence stands at its field and on top, and the link on top leads to the field."""
    page = page_of(response)
    assert response.status_code == 422
    assert "<title>Error: " in page
    assert page.count(sentence) == 2
    assert f'<a href="#{field}">' in page
    assert f'id="{field}"' in page
