"""One page for the public: why there is no length limit here, or why there is."""

from samples.findings.entered import RuleInput
from samples.findings.page_model import Page, Sentence
from samples.findings.topics.length_limit import plots, tables
from samples.findings.topics.length_limit.sentences import (
    could_help,
    in_ten,
    is_answer,
    let_go,
    more_or_less,
    overall,
    years,
)
from samples.findings.topics.length_limit.stock import ArmVerdict, Known
from samples.findings.topics.length_limit_public.analyse import ForPublic, analyse
from samples.findings.topics.query import TopicQuery
from samples.rules.and_text import and_text
from samples.science.length_limit.verdict import Verdict


def build(query: TopicQuery) -> Page:
    """Answer in plain words with two figures; nothing of it is smaller than an arm."""
    found = analyse(
        query.study,
        query.sample,
        query.stocks(),
        limit=query.choice.limit,
        entered=query.loaded.entered,
        species=query.choice.species.species_id,
    )
    firsts = [(one.known, one.first) for one in found.arms]
    main = query.with_unit(query.choice.limit.limits_mm[0])
    title, today = _asked_today(query, firsts, found.rule)
    if not any(is_answer(one) for _, one in firsts):
        words = "Not enough aged fish yet. Every donated fish helps."
        return Page(title, summary=[today] if today else [], refused=words)
    return Page(
        title=title,
        summary=[
            f"{today} {_fish_text(query, found)} We asked what a limit of {main} would do.".strip(),
            overall(query, firsts, main, found.refused),
            *[_plain(query, known, one) for known, one in firsts],
            *[f"{name}: too early to say." for name in found.refused],
        ],
        plots=[plots.growth(query, found.arms), plots.fates(query, found.arms)],
        tables=[tables.verdicts(query, [(one.known, one.verdicts) for one in found.arms])],
        cautions=[
            (
                "Donated fish are not a random sample of the lake. Natural mortality comes from "
                "surveys or a rule of thumb. Brackets show 95% intervals. The agency sets the "
                "regulation, on the advice of its biologists."
            ),
        ],
    )


def _fish_text(query: TopicQuery, found: ForPublic) -> str:
    """Return how many fish of which seasons have an age, and by whom."""
    there = (one for one in query.choice.seasons if one.pk in found.seasons)
    seasons = sorted(there, key=lambda one: one.starts_on)
    names = [one.name for one in seasons]
    when = and_text(names)
    told = f"{found.aged:,} fish of {when} have been aged"
    if found.as_given:
        told += f", {found.as_given:,} of them by others before they were entered here"
    return f"{told}. Most come from anglers, guides and survey nets."


def _asked_today(
    query: TopicQuery, firsts: list[tuple[Known, ArmVerdict]], rule: RuleInput | None
) -> tuple[Sentence, str]:
    """Return the question that people ask, and what holds today."""
    name, lake = query.species.lower(), query.options.lake
    if rule and rule.minimum_mm:
        least = query.with_unit(rule.minimum_mm)
        today = f"Today {name} shorter than {least} must be released here."
        return Sentence("why_limit", f"Why is there a length limit on {name} in {lake}?"), today
    # That nobody entered a rule does not mean that there is none.
    today = f"Today there is no length limit on {name} here." if rule else ""
    if any(could_help(query, one) for _, one in firsts):
        words = f"Would a length limit help the {name} of {lake}?"
        return Sentence("would_limit_help", words), today
    return Sentence("why_no_limit", f"Why is there no length limit on {name} in {lake}?"), today


def _plain(query: TopicQuery, known: Known, one: ArmVerdict) -> Sentence:
    """Answer for one arm; each main cause is said in words that need no others."""
    return Sentence(one.verdict.value, _plain_words(query, known, one)).of(known.name)


def _plain_words(query: TopicQuery, known: Known, one: ArmVerdict) -> str:
    limit, kept = query.with_unit(one.limit_mm), query.with_unit(known.kept_from_mm)
    verdict, found = one.verdict, one.axes
    if one.in_force:
        return f"{limit} is the limit today."
    if one.lowers:
        rule = query.with_unit(known.rule_mm)
        return f"if the limit went from {rule} to {limit}, {_harvest_text(one)}."
    if found is None:
        told = let_go(known, one, limit)
        return f"{told[0].lower()}{told[1:]}"
    if verdict is Verdict.GROWTH:
        told = (
            f"slow growth. Fish here are small because they grow slowly, not because they are "
            f"young: {in_ten(found.reach)} ever reach {limit}."
        )
    elif verdict is Verdict.NATURAL_DEATH:
        told = (
            f"natural causes. {in_ten(1 - found.survival)} fish die of disease, age or predators "
            f"on the way from {kept} to {limit}."
        )
    elif verdict is Verdict.HARVEST:
        told = (
            f"harvest. Fish take {years(found.years)} to grow from {kept} to {limit}; "
            f"{in_ten(found.taken)} that would get there are kept before."
        )
    elif verdict is Verdict.LITTLE_EFFECT:
        told = (
            f"little effect. Of fish that would reach {limit}, {in_ten(found.taken)} are kept now."
        )
    else:
        return "too early to say. More fish of this arm would help."
    return f"{told} With the limit, {_harvest_text(one)}.{_undone(query, one)}"


def _harvest_text(one: ArmVerdict) -> str:
    """Return what anglers would take home: the weight first, then the number of fish."""
    assert one.harvest is not None  # noqa: S101  # for the type checker
    changed = one.harvest.against_now
    weight = more_or_less(changed.weight, "more weight", "less weight")
    number = more_or_less(changed.number, "more fish", "fewer fish")
    return f"anglers would take home {weight} and {number}"


def _undone(query: TopicQuery, one: ArmVerdict) -> str:
    """Return where a limit that could help would not: where too many released fish die."""
    if one.harvest is None or not could_help(query, one) or one.harvest.undone_by >= 1:
        return ""
    return (
        f" It gives nothing where more than {100 * one.harvest.undone_by:.0f}% of released fish "
        "die, as in hot weather or from deep water."
    )
