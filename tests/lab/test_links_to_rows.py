"""Links from elsewhere to one vial of the reading grid."""

import pytest
from django.urls import reverse

from samples.lab import queries
from tests.lab.making import put_in_lab


@pytest.fixture
def as_reader(client, reader):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
    return client


def grid_address(lake, query=""):
    return reverse("lab:grid", args=[lake.slug]) + query


def test_a_link_to_one_vial_opens_the_page_of_the_grid_that_it_stands_on(
    as_reader, lake, party, white, vials, monkeypatch
):
    for part in (queries, queries.work):
        monkeypatch.setattr(part, "ROWS_ON_A_PAGE", 2)
    for vial in vials[:5]:
        put_in_lab(vial, party, white)

    shown = as_reader.get(grid_address(lake, f"?show=all&vial={vials[4].number}"))
    further = as_reader.get(grid_address(lake, f"?show=all&vial={vials[4].number}&page=1"))

    assert f'id="row-{vials[4].number}"' in shown.content.decode()
    assert shown.context["page"].number == 3
    assert further.context["page"].number == 1


def test_a_link_to_a_vial_that_is_not_in_the_grid_says_so(as_reader, lake, party, white, vials):
    put_in_lab(vials[0], party, white)

    missing = as_reader.get(grid_address(lake, f"?show=all&vial={vials[9].number}"))
    there = as_reader.get(grid_address(lake, f"?show=all&vial={vials[0].number}"))

    assert missing.context["not_here"] == vials[9].number
    assert 'class="notice" role="status"' in missing.content.decode()
    assert there.context["not_here"] == ""
