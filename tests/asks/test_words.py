"""What people read where guides are asked for fish, word for word."""

from types import SimpleNamespace

import pytest
from django.urls import reverse

from samples.asks.presenters.text import text_of
from samples.asks.views import everybody, office
from tests.asks.test_asks import send
from tests.people import INCH, NOW, make_person
from tests.targets.pages import want


def words_on(response):
    return " ".join(response.content.decode().split())


@pytest.mark.django_db
def test_the_list_its_text_and_its_public_page(
    client, lake, season, white, biologist, brindle, guide, monkeypatch
):
    for module in (office, everybody):
        monkeypatch.setattr(module, "timezone", SimpleNamespace(now=lambda: NOW))
    want(season, white, 7, 2, arm=brindle)
    make_person(lake, "guide", "I. Talvik")
    client.force_login(biologist)
    address = reverse("asks:asks", args=[lake.slug])
    public = reverse("asks:public", args=[lake.slug])

    page = client.get(address)
    assert [line.words for line in page.context["draft"].lines] == ["White crappie 7 to 7.9 in"]
    assert "Send to 3 people" in words_on(page)
    typed = {"draft": page.context["form"]["draft"].value(), "ask_0": "on", "words_0": ""}
    assert "Type what to bring, such as White crappie under 8 in" in words_on(
        client.post(address, typed)
    )

    ask = send(
        season, biologist, brindle, is_public=True, words="Crappie under 8 in", below=8 * INCH
    )
    out = words_on(client.get(address))
    assert "by N. Aubrey to 3 people and the public" in out
    assert "I. Talvik, N. Aubrey, R. Ostrow." in out
    assert text_of(ask, "").splitlines()[0] == "Fish needed from Lake Orrinbeck, May 6, 2026"
    read = words_on(client.get(public))
    assert "As of May 6, 2026. Keep your limit." in read
    assert "Talvik" not in read
    client.post(reverse("asks:stop", args=[lake.slug]))
    assert "Nothing is asked for now. Every fish still helps." in words_on(client.get(public))
