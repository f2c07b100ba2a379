"""Which fish a finding is about: chosen in the address, and what was left out said."""

import pickle

import pytest
from django.http import QueryDict

from samples.findings import queries
from samples.findings.forms import ChoiceForm
from samples.findings.sample import BY_SIZE, KEPT_BY_ANGLERS, NETS, PICKED
from samples.models import AgeAsGiven, Fish, HowChosen, LakeSpecies, Method, Progress
from tests.findings.conftest import numbers_in
from tests.people import NOW
from tests.targets.fish import make_fish

pytestmark = pytest.mark.django_db


@pytest.fixture
def chosen(lake, season):
    def choose(query=""):
        form = ChoiceForm(QueryDict(query), queries.options_of(lake, NOW.date()))
        return form.choice(), form

    return choose


@pytest.fixture
def sample(chosen, lake):
    def load(query=""):
        choice, _ = chosen(query)
        return queries.load(Fish.objects.filter(lake=lake), choice)

    return load


def coded(sentences):
    """Return the code of each sentence and the numbers in it."""
    return [(one.code, numbers_in(one)) for one in sentences]


class TestChoice:
    def test_is_everything_of_the_season_where_nothing_is_said(self, chosen, season, white):
        choice, form = chosen()

        assert choice.seasons == (season,)
        assert choice.species.species == white
        assert (choice.arms, choice.sexes, choice.methods, choice.how_chosen) == ((), (), (), ())
        assert not form.narrowed

    def test_comes_back_as_it_was_sent(self, chosen):
        query = "arm=Brindle&arm=Hobbin&sex=F&method=trap_net&chosen=every_fish&by=sex&ages=agreed"
        choice, form = chosen(query)

        assert [arm.name for arm in choice.arms] == ["Brindle", "Hobbin"]
        assert (choice.sexes, choice.methods) == (("F",), ("trap_net",))
        assert (choice.how_chosen, choice.compare, choice.ages) == (
            ("every_fish",),
            "sex",
            "agreed",
        )
        assert form.narrowed

    @pytest.mark.parametrize("field", ["species", "season", "arm", "sex", "method", "by", "ages"])
    def test_says_next_to_the_field_what_is_not_there(self, chosen, field):
        choice, form = chosen(f"{field}=nowhere")

        assert choice is None
        assert {
            name: [one.code for one in errors] for name, errors in form.errors.as_data().items()
        } == {field: ["invalid_choice"]}

    def test_takes_the_hybrid_and_the_other_parent_beside_a_species(
        self, chosen, lake, white, crappies
    ):
        for place, species in enumerate(crappies.exclude(pk=white.pk)):
            LakeSpecies.objects.get_or_create(
                lake=lake, species=species, defaults={"position": 10 + place}
            )

        choice, _ = chosen("by=group")

        assert {one.species.name for one in choice.relatives} == {
            "Black crappie",
            "Hybrid crappie",
        }


def test_what_is_kept_of_a_lake_is_not_what_its_slips_are_signed_with(lake, season):
    assert lake.slip_key

    kept = pickle.dumps(queries.options_of(lake, NOW.date()))

    assert lake.name.encode() in kept
    assert lake.slip_key.encode() not in kept


class TestSample:
    @pytest.mark.parametrize(
        ("query", "n"),
        [("", 4), ("sex=M", 1), ("method=trap_net", 1), ("arm=Hobbin", 1), ("sex=M&sex=F", 4)],
    )
    def test_is_narrowed_down(self, sample, aged, lake, query, n):
        aged(3, [8.0])
        aged(3, [8.0], sex="M")
        aged(3, [8.0], method="trap_net")
        aged(3, [8.0], arm=lake.arms.get(name="Hobbin"))

        assert sample(query).n == n

    def test_leaves_out_withdrawn_fish_and_other_species(self, sample, aged, black):
        aged(3, [8.0], withdrawn=True)
        aged(3, [8.0], species=black)

        assert sample().n == 0

    def test_our_own_age_wins_over_one_as_given(self, sample, aged, party):
        [fish] = aged(3, [8.0])
        AgeAsGiven.objects.create(fish=fish, age_years=7, structure="scale", source="old.csv")

        assert sample().age.tolist() == [3]

    @pytest.mark.parametrize(
        ("ages", "known", "left_out"),
        [
            ("all", 3, []),
            ("single", 2, [("age_as_given", [1])]),
            ("agreed", 1, [("one_reader", [1]), ("age_as_given", [1])]),
        ],
    )
    def test_says_which_ages_are_not_sure_enough(
        self, sample, aged, party, white, ages, known, left_out
    ):
        aged(3, [8.0])
        aged(3, [9.0], standing="one_reader")
        [fish] = make_fish(party, white, 9.5, progress=Progress.AGE_AS_GIVEN)
        AgeAsGiven.objects.create(fish=fish, age_years=3, structure="otolith", source="old.csv")

        found = sample(f"ages={ages}")

        assert (found.n, int(found.aged.sum())) == (3, known)
        assert coded(found.left_out) == left_out

    def test_says_what_a_narrower_choice_leaves_out(self, sample, aged):
        aged(3, [8.0, 9.0])
        aged(3, [8.0], sex="M")

        assert coded(sample("sex=M").left_out) == [("not_chosen", [2])]

    def test_a_fish_whose_readers_differ_is_named(self, sample, aged):
        [fish] = aged(3, [8.0])
        fish.age.standing, fish.age.age_years = "to_settle", None
        fish.age.year_class = None
        fish.age.save()

        found = sample()

        assert coded(found.left_out) == [("to_settle", [1])]
        assert not found.aged.any()


class TestLargeShare:
    def test_names_a_donor_of_more_than_half(self, sample, aged, guide):
        aged(3, [8.0, 9.0])
        aged(3, [8.0], donor=None)

        share = queries.large_share(sample())

        assert round(share.percent) == 67
        assert queries.donor_names({share.donor}) == {share.donor: guide.display_name}

    def test_half_is_not_more_than_half(self, sample, aged):
        aged(3, [8.0])
        aged(3, [8.0], donor=None)

        assert queries.large_share(sample()) is None


def test_fish_are_set_apart_by_codes_that_are_stored():
    assert set(Method.values) >= KEPT_BY_ANGLERS | NETS
    assert set(HowChosen.values) >= BY_SIZE | PICKED
