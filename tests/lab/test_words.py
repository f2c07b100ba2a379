"""What readers and the biologist read in the lab, word for word."""

import json

import pytest
from django.urls import reverse

from samples.lab import queries, services
from samples.lab.services import CannotRead, CannotWithdrawReading, set_radii
from samples.models import LakeSpecies, Reading
from samples.rules import vial_number
from tests.lab.making import decision, put_in_lab, read
from tests.lab.test_take_back import take_back
from tests.people import NOW


def page_of(response):
    return response.content.decode()


@pytest.fixture
def grid(client, reader, lake):
    client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
    return reverse("lab:grid", args=[lake.slug])


@pytest.fixture
def as_biologist(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


def typed(vial, **changes):
    return {
        "vial": vial.number,
        "annuli": "4",
        "margin": "1",
        "method": "whole",
        "readability": "1",
        "length": "hidden",
        **changes,
    }


class TestRules:
    def test_the_rule_that_made_an_age(self, vial, fish, reader, biologist):
        read(vial, reader, 3, 4)
        one = queries.card_of(fish).rule_sentence
        read(vial, biologist, 3, 1)

        assert "not formed yet" in one
        assert queries.card_of(fish).rule_sentence == "Readers gave different ages."

    def test_the_history_tells_what_was_said_first(self, vial, fish, reader, biologist):
        read(vial, reader, 4, 1)
        read(vial, reader, 5, 1, note="Looked again")
        services.decide_age(fish=fish, age_years=4, note="Sectioned", actor=biologist, now=NOW)

        lines = {(line.who, line.what) for line in queries.history_of(fish)}

        assert ("T. Vesk", "Read 4 annuli, margin 1, whole") in lines
        assert ("T. Vesk", "Corrected to 5 annuli, margin 1, whole (Looked again)") in lines
        decided = "Age 4, year class 2022: Decided by the biologist (Sectioned)"
        assert ("N. Aubrey", decided) in lines

    def test_a_reading_that_is_taken_back(self, vial, fish, reader, office, biologist):
        reading = read(vial, reader, 4, 1).reading
        with pytest.raises(CannotWithdrawReading, match="Only its reader"):
            take_back(reading, office)
        services.decide_age(fish=fish, age_years=5, note="Sectioned", actor=biologist, now=NOW)
        with pytest.raises(CannotWithdrawReading, match="Undo the decision first"):
            take_back(reading, reader)
        services.undo_decision(fish=fish, actor=biologist, now=NOW)
        take_back(Reading.objects.get(), reader, "Typed for the next vial")
        with pytest.raises(CannotWithdrawReading, match="already"):
            take_back(reading, reader)

        said = [f"{line.who}: {line.what}" for line in queries.history_of(fish)]
        assert "T. Vesk: Deleted 4 annuli, margin 1, whole: Typed for the next vial" in said

    def test_what_cannot_be_read(self, vial, fish, party, lake, white, reader, vials):
        reading = read(vial, reader, 3, 1).reading
        with pytest.raises(CannotRead, match="one radius for each of the 3 annuli"):
            set_radii(reading, [400], edge_um=950)
        with pytest.raises(CannotRead, match="Measure radii from the core"):
            set_radii(reading, [400, 390, 900], edge_um=950)
        with pytest.raises(CannotRead, match="No fish is logged"):
            read(vials[5], reader, 4, 1)
        LakeSpecies.objects.filter(lake=lake, species=white).update(annulus_starts="07-10")
        with pytest.raises(CannotRead, match="are out of order"):
            read(vial, reader, 4, 4)


class TestGrid:
    def test_what_to_type(self, client, grid, vial, fish, vials):
        wrong = page_of(client.post(grid, typed(vial, annuli="four")))
        nothing = page_of(client.post(grid, typed(vials[5])))

        assert "Enter the number of annuli, 0 to 59." in wrong
        assert "No fish is logged for this vial" in nothing

    def test_counts_and_what_was_saved(self, client, grid, vials, party, white):
        for one in vials[:3]:
            put_in_lab(one, party, white)
        client.post(grid, typed(vials[0]))

        page = page_of(client.get(f"{grid}?show=all"))

        assert "age 4" in page
        assert "2 otoliths to read" in page
        assert "Vials 1 to 3 of 3</strong>, 1 read by you" in page
        withdrawn = reverse("lab:take_back", args=["lake-orrinbeck", Reading.objects.get().pk])
        assert "reading deleted" in page_of(client.post(withdrawn, follow=True))

    def test_what_the_script_is_answered(self, client, grid, lake, vial, fish):
        def send(row):
            address = reverse("lab:save_row", args=[lake.slug])
            return client.post(address, json.dumps(row), content_type="application/json").json()

        [high] = send(typed(vial, annuli="30", margin="3"))["questions"]
        sure = send(typed(vial, annuli="14", confirmed=["age_above_highest"]))

        assert high["sentence"].startswith("30 annuli are more than 12")
        assert sure["flags"] == ["Older than usual for this species here. Is it the right vial?"]
        missing = send(typed(vial) | {"vial": vial_number.make(2026, 9001, 4)})
        assert missing["errors"] == {"vial": ["No vial of this lake has that number."]}
        assert "not formed yet" in send(typed(vial, annuli="3", margin="4"))["sentence"]


class TestAges:
    def test_ages_to_settle(self, as_biologist, vial, fish, lake, reader, biologist):
        read(vial, reader, 3, 4)
        read(vial, biologist, 3, 1)

        page = page_of(as_biologist.get(reverse("lab:settle", args=[lake.slug])))

        assert "1 age without consensus" in page
        assert "annulus formed: age 3" in page

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"note": ""}, "Enter why, such as"),
            ({"outcome": ""}, "Choose an age, or what is to be done"),
            ({"how": ""}, "Choose how the age was decided"),
            ({"age_years": ""}, "Enter the age in whole years"),
            ({"age_years": "0"}, "hatched on or after May 15, 2026"),
        ],
    )
    def test_a_decision(self, as_biologist, vial, fish, lake, reader, changes, sentence):
        read(vial, reader, 3, 3)
        address = reverse("lab:decide", args=[lake.slug, vial.number])

        page = page_of(as_biologist.post(address, decision(fish, **changes)))

        assert sentence in page

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"annuli": ""}, "Enter the number of annuli"),
            ({"margin": "1", "edge": "no"}, "Margin code 1 means an annulus at the edge"),
            ({"margin": ""}, "the age needs a margin code"),
        ],
    )
    def test_a_reading(self, as_biologist, vial, fish, lake, changes, sentence):
        said = {"annuli": "4", "margin": "1", "edge": "", "method": "whole", **changes}
        address = reverse("lab:vial", args=[lake.slug, vial.number])

        assert sentence in page_of(as_biologist.post(address, said))

    def test_nothing_to_undo(self, as_biologist, vial, fish, lake, reader):
        read(vial, reader, 3, 4)
        address = reverse("lab:undo", args=[lake.slug, vial.number])

        assert "No decision on this age to undo" in page_of(as_biologist.post(address, follow=True))
