"""Setting for which fish of a lake the age by one reader is enough."""

from datetime import datetime

from samples.lab.rules import ConsensusRule
from samples.lab.services.ages import work_out_ages
from samples.lab.services.errors import RuleNeedsConfirmation
from samples.models import Age, Lake, Reading, atomic_with_revision


@atomic_with_revision()
def set_consensus_rule(
    *, lake: Lake, rule: ConsensusRule, now: datetime, confirmed: bool = False
) -> int:
    """Set the rule of a lake and make its ages anew; return how many are another now.

    :raises RuleNeedsConfirmation: if fish would lose their age; not where ``confirmed``
    """
    lake = Lake.objects.select_for_update().get(pk=lake.pk)
    lost = count_ages_lost(lake, rule)
    if lost and not confirmed:
        raise RuleNeedsConfirmation(lost)
    lake.one_reading_suffices = rule.one_reading
    lake.one_reading_below_hundredths_mm = rule.below_hundredths_mm
    lake.one_reading_most_annuli = rule.most_annuli
    lake.save()
    return work_out_ages(lake, now=now)


def count_ages_lost(lake: Lake, rule: ConsensusRule) -> int:
    """Count fish with one reader's age that would need a second reading under a rule."""
    ages = Age.objects.filter(fish__lake=lake, standing=Age.Standing.ONE_READER)
    fish = {age.fish.vial_id: age.fish for age in ages.select_related("fish")}
    readings = Reading.objects.filter(vial__fish__age__in=ages)
    latest = {one.vial_id: one for one in readings.order_by("sitting_on", "read_at", "pk")}
    return sum(not rule.is_enough(one, fish[vial]) for vial, one in latest.items())
