"""What else growth is held against: other forms of curve, tests between groups, and the sexes."""

from dataclasses import dataclass, replace

from samples.findings.page_model import Column, Count, Number, PValue, Sentence, Table, Text
from samples.findings.queries.choice import SEXES
from samples.findings.topics.grown import Grown, grow_groups
from samples.findings.topics.growth.tables import difference_at
from samples.findings.topics.query import TopicQuery
from samples.models import Sex
from samples.science.errors import CannotEstimate
from samples.science.growth.compare import Comparison, Group, compare_curves
from samples.science.growth.likelihood import FormFit, GrowthForm, fit_form

# A form whose AICc is lower by this much fits better (Burnham & Anderson 2002).
CLEARLY_BETTER = 2.0
FEWEST_OF_SEX = 20
DRAWS_OF_SEXES = 500


@dataclass(frozen=True, slots=True, eq=False)
class Forms:
    """Every form of curve fitted to the fish of one group."""

    name: str
    fits: dict[GrowthForm, FormFit]

    @property
    def better(self) -> FormFit | None:
        """Return the form that fits clearly better than von Bertalanffy, if one does."""
        usual = self.fits[GrowthForm.VON_BERTALANFFY]
        best = min(self.fits.values(), key=lambda one: one.aicc)
        return best if usual.aicc - best.aicc > CLEARLY_BETTER else None


def forms_of(one: Grown) -> Forms | None:
    """Fit every form to one group's fish; nothing where they carry no curve by themselves."""
    try:
        fits = {
            form: fit_form(
                one.sample.clock,
                one.sample.length_mm,
                weights=one.weights,
                kept_from_mm=one.kept_mm,
                form=form,
            )
            for form in GrowthForm
        }
    except CannotEstimate:
        return None
    return Forms(one.name, fits)


def better_text(forms: list[Forms]) -> list[Sentence]:
    """Return where another form fits better."""
    return [
        Sentence(
            "better_form",
            f"the {one.better.form} curve fits better than von Bertalanffy. It is drawn beside it, "
            "within the ages seen. Years to a length are by von Bertalanffy.",
        ).of(one.name)
        for one in forms
        if one.better is not None
    ]


def forms_table(query: TopicQuery, forms: list[Forms]) -> list[Table]:
    """Compare the forms by AICc."""
    rows = []
    for one in forms:
        least = min(fit.aicc for fit in one.fits.values())
        rows += [
            [
                Text(one.name),
                Text(str(form)),
                Number(fit.aicc, 1),
                Number(fit.aicc - least, 1),
                query.length_cell(fit.linf_mm),
                Number(fit.n_effective),
            ]
            for form, fit in one.fits.items()
        ]
    if not rows:
        return []
    return [
        Table(
            name="forms",
            caption="Von Bertalanffy, Gompertz and logistic",
            columns=[
                Column(query.what),
                Column("Curve"),
                Column("AICc"),
                Column("Above the least", "AICc difference"),
                Column("Linf"),
                Column("Effective n"),
            ],
            rows=rows,
            note="All fish pooled, without growth years. Fish of one trip are alike, so "
            "differences in AICc are too large.",
            folded=True,
        )
    ]


# ---------- Tests that take fish for independent ----------

SHARED = {
    "coincident": "one curve for all",
    "linf": "one Linf",
    "k": "one K",
    "t0": "one t0",
}


def ratio_tests_table(grown: list[Grown]) -> list[Table]:
    """Ask by likelihood ratios whether groups share a curve."""
    cut_off = {bool(one.kept_mm.any()) for one in grown}
    if len(grown) < 2 or len(cut_off) > 1:
        return []  # fish picked in different ways differ by that alone
    groups = [Group(one.name, one.sample.clock, one.sample.length_mm, one.weights) for one in grown]
    try:
        found = compare_curves(groups)
    except CannotEstimate:
        return []
    return [_ratio_table(found, [one.name for one in grown])]


def _ratio_table(found: Comparison, names: list[str]) -> Table:
    rows = [
        [Text(words), Number(test.chi2, 1), Count(test.df), PValue(test.p)]
        for test, words in ((found.tests[name], words) for name, words in SHARED.items())
    ]
    return Table(
        name="do-they-differ",
        caption=f"Likelihood ratio tests: {', '.join(names)}",
        columns=[Column("If they had"), Column("chi2"), Column("df"), Column("p")],
        rows=rows,
        note="Kimura 1980. The tests assume independent fish. Fish of one trip are alike and "
        "share growth years, so p is too small: use the differences in length at age.",
        folded=True,
    )


# ---------- The sexes ----------


def sexes_text(query: TopicQuery) -> list[Sentence]:
    """Propose the sexes side by side where they differ in length at age."""
    if query.choice.compare == SEXES or query.choice.sexes:
        return []
    sample = query.sample
    known = [(sample.sex == sex.value) & sample.aged for sex in (Sex.FEMALE, Sex.MALE)]
    if min(int(one.sum()) for one in known) < FEWEST_OF_SEX:
        return []
    by_sex = replace(query, choice=replace(query.choice, compare=SEXES, relatives=()))
    grown, refused = grow_groups(by_sex, draws=DRAWS_OF_SEXES)
    if refused or len(grown) != 2:
        return []
    age = round(sum(float(sample.age[one].mean()) for one in known) / 2)
    first, last = max(one.youngest_time for one in grown), min(one.oldest_time for one in grown)
    if not first <= age <= last:
        return []
    apart, lower, upper = (
        query.in_unit(mm) for mm in difference_at(grown[0], grown[1], float(age))
    )
    if lower <= 0 <= upper:
        return []
    longer = "Females are longer" if apart > 0 else "Males are longer"
    ends = sorted((abs(lower), abs(upper)))
    return [
        Sentence(
            "sexes_differ",
            f"{longer} at age {age} by {abs(apart):.1f} {query.unit.value} (95% CI {ends[0]:.1f}-"
            f"{ends[1]:.1f}). Under Side by side, choose Sexes.",
        )
    ]
