"""The page on which an age is decided: its readings side by side, and what was decided before."""

from dataclasses import dataclass

from samples.lab import rules
from samples.lab.presenters.marks import MarkedPicture, marked_pictures
from samples.lab.queries import AgeCard, ages_to_settle, card_of
from samples.lab.queries.preparing import requests_of
from samples.models import AgeDecision, Fish, Lake, Reading, SectionRequest, User
from samples.rules.ageing import AgeResult


@dataclass(frozen=True, slots=True)
class Side:
    """One reading that counts, and the picture that it was made on, if it was made on one."""

    aged: rules.Aged
    marked: MarkedPicture | None

    @property
    def reading(self) -> Reading:
        return self.aged.reading

    @property
    def result(self) -> AgeResult:
        return self.aged.result


@dataclass(frozen=True, slots=True)
class DecisionPage:
    """One fish whose age is to be decided.

    ``sides`` are the readings that count, one a reader; ``replaced`` those that readers replaced.
    ``seen`` goes back with the form, so that nobody decides over what they have not seen.
    """

    card: AgeCard
    sides: list[Side]
    replaced: list[rules.Aged]
    # The latest first.
    decisions: list[AgeDecision]
    requests: list[SectionRequest]
    seen: str
    # The numbers of the vials whose age waits, in order.
    waiting: list[str]

    @property
    def place(self) -> int:
        """Return where it stands among the ages to decide; 0 for one that does not wait."""
        vial = self.card.fish.vial
        if vial is None or vial.number not in self.waiting:
            return 0
        return self.waiting.index(vial.number) + 1

    @property
    def total(self) -> int:
        return len(self.waiting)

    @property
    def ages(self) -> list[int]:
        """Return the ages that readers gave, the youngest first."""
        return sorted({one.result.age for one in self.sides if one.result.age is not None})

    @property
    def open_rule(self) -> str:
        """Return why the aging rule gives no age, where that is why there is none."""
        return next((one.result.sentence for one in self.sides if not one.result.settled), "")

    @property
    def likely_how(self) -> str:
        """Return how an age is likely decided: by what was asked for last."""
        last = self.decisions[0].outcome if self.decisions else ""
        return {
            AgeDecision.Outcome.SECTION.value: AgeDecision.How.SECTION.value,
            AgeDecision.Outcome.THIRD_READER.value: AgeDecision.How.THIRD_READER.value,
        }.get(last, "")


def decision_page(person: User, lake: Lake, fish: Fish) -> DecisionPage:
    """Gather what is known of a fish's age for whoever decides it."""
    card = card_of(fish)
    decisions = list(fish.decisions.select_related("decided_by").order_by("-number"))
    counted = [one for one in card.readings if one.counts]
    pictures = marked_pictures(one.reading for one in counted)
    return DecisionPage(
        card=card,
        sides=[Side(one, pictures.get(one.reading.pk)) for one in counted],
        replaced=[one for one in card.readings if not one.counts],
        decisions=decisions,
        requests=list(requests_of(fish.vial)) if fish.vial else [],
        seen=seen_of(fish, decisions),
        waiting=numbers_to_decide(person, lake),
    )


def seen_of(fish: Fish, decisions: list[AgeDecision] | None = None) -> str:
    """Return the word for how readings and decisions of a fish stand now."""
    if decisions is None:
        decisions = list(fish.decisions.order_by("-number")[:1])
    readings = Reading.objects.filter(vial=fish.vial_id)
    return rules.state_seen(decisions[0] if decisions else None, readings)


def numbers_to_decide(person: User, lake: Lake) -> list[str]:
    """Return the numbers of the vials whose age waits for a decision, in order."""
    return list(ages_to_settle(person, lake).values_list("fish__vial__number", flat=True))


def number_after(number: str, waiting: list[str]) -> str:
    """Return the next vial to decide after this one, from the first again; "" if none waits."""
    others = [one for one in waiting if one != number]
    return next((one for one in others if one > number), others[0] if others else "")
