"""A lake of invented fish, large enough that an answer about its length limit takes seconds."""

import uuid
from datetime import date

import numpy as np

from samples.models import Age, Arm, Fish, Party, Progress
from tests.waters.figures import make_figures

MEASURED, AGED_OF = 2_000, 2
LINF_MM, RATE, DEATH = 340.0, 0.45, 0.9
CAUGHT_ON = date(2026, 5, 20)


def make_fished_lake(season, arms, species, by, now):
    """Fill arms with fish of a known curve from trap nets, every second one aged."""
    rng = np.random.default_rng(1)
    for arm in arms:
        sets = [_net_set(season, arm, by, now) for _ in range(20)]
        ages = rng.geometric(1 - np.exp(-DEATH), MEASURED).clip(max=8)
        lengths = LINF_MM * (1 - np.exp(-RATE * (ages + 0.2))) * rng.normal(1, 0.08, MEASURED)
        fish = Fish.objects.bulk_create(
            _fish(sets[place % 20], species, place, mm, by, now)
            for place, mm in enumerate(lengths.clip(60))
        )
        Age.objects.bulk_create(
            Age(
                fish=one,
                standing="agreed",
                age_years=int(age),
                year_class=2026 - int(age),
                rule="bench",
                worked_out_at=now,
            )
            for place, (one, age) in enumerate(zip(fish, ages, strict=True))
            if place % AGED_OF == 0
        )
    make_figures(season.lake, species, by)


def arms_of(lake, count=3):
    return [Arm.objects.create(lake=lake, name=f"Arm {place}") for place in range(count)]


def _net_set(season, arm, by, now):
    return Party.objects.create(
        party_id=uuid.uuid4(),
        fingerprint="set",
        lake=season.lake,
        season=season,
        arm=arm,
        caught_on=CAUGHT_ON,
        method="trap_net",
        how_chosen="every_fish",
        kept="fresh",
        opened_by=by,
        opened_at=now,
        received_at=now,
    )


def _fish(party, species, place, mm, by, now):
    return Fish(
        entry_id=uuid.uuid4(),
        fingerprint="bench",
        party=party,
        lake_id=party.lake_id,
        season_id=party.season_id,
        arm_id=party.arm_id,
        method=party.method,
        caught_on=CAUGHT_ON,
        species=species,
        sex="FM"[place % 2],
        length_hundredths_mm=round(mm * 100),
        length_as_measured=f"{mm:.0f}",
        length_unit_as_measured="mm",
        logged_by=by,
        logged_at=now,
        received_at=now,
        progress=Progress.AGED if place % AGED_OF == 0 else Progress.MEASURED,
    )
