"""One page for the public: why there is no length limit here, or why there is."""

from samples.findings.queries.elsewhere import in_force
from samples.findings.shown import Page
from samples.findings.topics.asked import Asked
from samples.findings.topics.limit import plots
from samples.findings.topics.limit.page import answered
from samples.findings.topics.limit.stock import Answer, Known
from samples.findings.topics.limit.words import in_ten, overall, verdict_of, years
from samples.science.length_limit.verdict import Verdict


def public(asked: Asked) -> Page:
    """Answer in plain words with two figures; nothing of it is smaller than an arm."""
    rule = in_force(asked.options.lake, asked.choice, asked.choice.species)
    name = asked.species.lower()
    lake = asked.options.lake
    title = (
        f"Why is there a length limit on {name} in {lake}?"
        if rule
        else f"Why is there no length limit on {name} in {lake}?"
    )
    found, refused = answered(asked)
    main = asked.with_unit(asked.choice.limit.limits_mm[0])
    if not found:
        words = "There are not yet enough aged fish to say. Every fish you give brings it nearer."
        return Page(title, refused=words)
    firsts = [(known, of_limits[0]) for known, of_limits in found]
    aged = sum(known.grown.sample.n for known, _ in found)
    return Page(
        title=title,
        says=[
            (
                f"Anglers and guides gave us fish, and we read their ages from {aged:,} ear "
                f"stones. From them we asked what a limit of {main} would do."
            ),
            overall(firsts, main),
            *[_plain(asked, known, one) for known, one in firsts],
            *[f"{words.split(':')[0]}: we cannot tell yet." for words in refused],
        ],
        plots=[plots.growth(asked, found), plots.survivors(asked, found)],
        cautions=[
            (
                "Given fish are no even sample of the lake, and how many die of natural causes is "
                "taken from other waters. The ranges in brackets say how unsure the figures are."
            ),
            (
                "Limits helped in some waters and not in others. The rule is made by the "
                "authority, on the advice of its biologists."
            ),
        ],
    )


def _plain(asked: Asked, known: Known, one: Answer) -> str:
    limit, kept = asked.with_unit(one.limit_mm), asked.with_unit(known.kept_from_mm)
    verdict = verdict_of(one)
    if one.axes is None:
        return f"{known.name}: anglers already let go what is under {kept}. A limit adds nothing."
    found = one.axes
    if verdict is Verdict.GROWTH:
        return (
            f"{known.name}: fish here are small because they grow slowly, not because they are "
            f"young. {in_ten(found.reach).capitalize()} ever come to {limit}."
        )
    if verdict is Verdict.NATURAL_DEATH:
        return (
            f"{known.name}: {in_ten(1 - found.survival)} fish die of natural causes on the way "
            f"from {kept} to {limit}, kept or not. Fish put back would mostly not be caught again."
        )
    if verdict is Verdict.HARVEST:
        return (
            f"{known.name}: fish take {years(found.years)} years to grow from {kept} to {limit}, "
            f"and {in_ten(found.taken)} of those that would get there are kept before. Here a "
            "limit could give larger fish."
        )
    if verdict is Verdict.LITTLE_EFFECT:
        return (
            f"{known.name}: {in_ten(found.taken)} fish that would come to {limit} are kept before "
            "it now. A limit would save few."
        )
    return f"{known.name}: we cannot tell yet. More fish of this arm would help."
