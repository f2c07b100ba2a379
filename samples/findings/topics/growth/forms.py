"""What else growth is held against: other forms of curve, tests between groups, and the sexes."""

from samples.findings.page_model import Column, Count, Number, PValue, Sentence, Table, Text
from samples.findings.topics.growth.analyse import Apart, Forms, Growth
from samples.findings.topics.query import TopicQuery
from samples.science.growth.compare import Comparison


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


def ratio_tests_table(found: Growth) -> list[Table]:
    """Return the likelihood ratio tests of a shared curve."""
    if found.ratio_tests is None:
        return []
    return [_ratio_table(found.ratio_tests, [one.name for one in found.groups])]


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


def sexes_text(query: TopicQuery, apart: Apart | None) -> list[Sentence]:
    """Propose the sexes side by side where they differ in length at age."""
    if apart is None:
        return []
    mm, *ends_mm = (query.in_unit(one) for one in (apart.mm, apart.lower, apart.upper))
    longer = "Females are longer" if mm > 0 else "Males are longer"
    ends = sorted(abs(one) for one in ends_mm)
    return [
        Sentence(
            "sexes_differ",
            f"{longer} at age {apart.age} by {abs(mm):.1f} {query.unit.value} (95% CI "
            f"{ends[0]:.1f}-{ends[1]:.1f}). Under Side by side, choose Sexes.",
        )
    ]
