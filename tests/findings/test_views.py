"""The page of lengths at age, as each person meets it."""

import csv
import io

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from samples.models import Age, AgeAsGiven, Lake, Progress
from tests.people import NOW, make_person
from tests.targets.fish import make_fish

NAMES = ["findings:length_at_age", "findings:length_at_age_csv"]


@pytest.fixture
def page(client, lake, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")

    def open_page(name="length_at_age", **query):
        return client.get(reverse(f"findings:{name}", args=[lake.slug]), query)

    return open_page


@pytest.fixture
def aged(party, white):
    """Make aged fish of the party: aged(3, [8.0, 9.0], arm=...)."""

    def make(years, lengths, *, standing="agreed", species=None, **others):
        progress = Progress.ONE_READER if standing == "one_reader" else Progress.AGED
        for inches in lengths:
            (fish,) = make_fish(party, species or white, inches, progress=progress, **others)
            Age.objects.create(
                fish=fish, standing=standing, age_years=years, rule="test", worked_out_at=NOW
            )

    return make


def text(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


@pytest.mark.django_db
class TestWhoMay:
    @pytest.mark.parametrize("name", NAMES)
    @pytest.mark.parametrize("who", ["guide", "clerk", "office", "reader"])
    def test_other_roles_are_told_it_is_not_theirs(self, client, lake, name, who, request):
        client.force_login(
            request.getfixturevalue(who), backend="django.contrib.auth.backends.ModelBackend"
        )

        assert client.get(reverse(name, args=[lake.slug])).status_code == 403

    @pytest.mark.parametrize("name", NAMES)
    def test_a_stranger_finds_no_such_page(self, client, lake, name, stranger):
        client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")

        assert client.get(reverse(name, args=[lake.slug])).status_code == 404


@pytest.mark.django_db
class TestTable:
    def test_gives_n_mean_sd_and_interval(self, page, aged):
        aged(3, [8.0, 9.0, 10.0])

        (line,) = page().context["grown"].arms[0].lines

        lengths = line.lengths
        assert (line.age, lengths.n) == (3, 3)
        assert (lengths.mean, lengths.sd) == pytest.approx((9.0, 1.0))
        # t(0.975, 2) / sqrt(3) = 4.303 / 1.732
        assert (lengths.lower, lengths.upper) == pytest.approx((6.516, 11.484), abs=0.001)

    def test_two_fish_have_an_sd_and_no_interval(self, page, aged):
        aged(3, [8.0, 9.0])

        (line,) = page().context["grown"].arms[0].lines

        assert line.lengths.sd == pytest.approx(0.7071, abs=1e-4)
        assert line.lengths.lower is None

    def test_keeps_arms_apart_and_names_the_widest_difference(self, page, aged, lake):
        aged(2, [8.0, 9.0, 10.0])
        aged(2, [5.0, 6.0, 7.0, 6.0], arm=lake.arms.get(name="Hobbin"))

        answer = page()

        assert [arm.arm for arm in answer.context["grown"].arms] == ["Brindle", "Hobbin"]
        assert (
            "At age 2 fish of Brindle average 9.0 in (3 fish), those of Hobbin 6.0 in (4)."
            in text(answer)
        )

    def test_marks_one_reader_and_ages_as_given(self, page, aged, party, white):
        aged(3, [8.0], standing="one_reader")
        (fish,) = make_fish(party, white, 9.0, progress=Progress.AGE_AS_GIVEN)
        AgeAsGiven.objects.create(fish=fish, age_years=3, structure="otolith", source="old.csv")

        answer = page()

        assert answer.context["grown"].arms[0].lines[0].letters == "r g"
        assert "Ages: 0 agreed between readers or decided, 1 by one reader (r), 1 as given" in text(
            answer
        )

    def test_our_own_age_wins_over_one_as_given(self, page, aged, party):
        aged(3, [8.0])
        AgeAsGiven.objects.create(
            fish=party.fish.get(), age_years=7, structure="scale", source="old.csv"
        )

        assert [line.age for line in page().context["grown"].arms[0].lines] == [3]

    def test_leaves_out_withdrawn_fish_and_other_species(self, page, aged, black):
        aged(3, [8.0], withdrawn=True)
        aged(3, [8.0], species=black)

        assert page().context["grown"].n == 0

    @pytest.mark.parametrize(
        ("query", "n"), [({}, 3), ({"sex": "M"}, 1), ({"method": "trap_net"}, 1)]
    )
    def test_is_narrowed_down(self, page, aged, query, n):
        aged(3, [8.0])
        aged(3, [8.0], sex="M")
        aged(3, [8.0], method="trap_net")

        assert page(**query).context["grown"].n == n

    def test_says_when_most_were_kept_by_anglers(self, page, aged):
        aged(3, [8.0, 9.0])
        aged(3, [8.0], method="trap_net")

        assert "2 of 3 were kept by anglers" in text(page())
        assert "kept by anglers" not in text(page(method="trap_net"))

    def test_says_that_a_plain_mean_is_biased(self, page, aged):
        aged(3, [8.0, 9.0])

        assert "plain means of the fish that were aged" in text(page())
        assert "such a mean is biased" in text(page())

    def test_millimetres_where_the_lake_uses_them(self, page, aged, lake):
        Lake.objects.filter(pk=lake.pk).update(length_unit="mm")
        aged(3, [10.0])

        assert "254.0" in text(page())

    def test_says_what_brings_ages_where_there_are_none(self, page):
        assert "No white crappie aged in 2026 yet." in text(page())

    def test_says_what_a_new_lake_needs(self, client, db):
        lake = Lake.objects.create(name="Bare Pond", slug="bare-pond")
        somebody = make_person(lake, "biologist", "A. Nother")
        client.force_login(somebody, backend="django.contrib.auth.backends.ModelBackend")

        answer = client.get(reverse("findings:length_at_age", args=[lake.slug]))
        assert "no season or no species yet" in text(answer)
        file = client.get(reverse("findings:length_at_age_csv", args=[lake.slug]))
        assert file.status_code == 302

    @pytest.mark.parametrize("n", [1, 50])
    def test_asks_as_often_for_fifty_as_for_one(self, page, aged, n, django_assert_num_queries):
        aged(3, [8.0 + k / 10 for k in range(n)])

        with django_assert_num_queries(7):
            page()


@pytest.mark.django_db
class TestFile:
    def test_has_a_line_for_each_arm_and_age(self, page, aged):
        aged(2, [6.0])
        aged(3, [8.0, 9.0, 10.0], standing="one_reader")

        answer = page("length_at_age_csv")
        lines = list(csv.DictReader(io.StringIO(answer.content.decode())))

        assert [(line["age_years"], line["n"], line["mean"]) for line in lines] == [
            ("2", "1", "6.000"),
            ("3", "3", "9.000"),
        ]
        assert lines[0]["sd"] == ""
        assert (lines[1]["sd"], lines[1]["unit"], lines[1]["one_reader"]) == ("1.000", "in", "3")
