"""Coverage of one lake among many: the count, the whole page, and how both grow."""

import sys
from datetime import UTC, date, datetime

from django.db import connection
from django.test import Client, override_settings
from django.urls import reverse

from samples.accounts.selectors import fish_counted_at
from samples.management.timing import BenchmarkResult, in_turn
from samples.models import (
    Arm,
    Donor,
    Lake,
    LakeSpecies,
    Membership,
    Party,
    Reach,
    Season,
    Species,
    Target,
    User,
)
from samples.targets.presenters.shaping import shape
from samples.targets.queries.choice import CoverageSelection, options_of
from samples.targets.queries.counts import FROM, count_rows, tallies
from samples.targets.queries.set_targets import sum_in_bins, targets_of_season

NAME = "coverage"
FISH_A_LAKE = 5_000
LAKES = 200
FEW_LAKES = 2
YEARS = (2024, 2025, 2026)
ARMS = ("Brindle", "Cutbank", "Hobbin", "Sallow", "Tarrow")
DONORS = 10
INCH = 2540
NOW = datetime(2026, 5, 6, 17, 30, tzinfo=UTC)

# The least that answers the question: one statement, grouped as the page needs it.
RAW = """
SELECT arm_id, length_hundredths_mm / 2540, progress, donor_id, COUNT(*)
FROM samples_fish
WHERE lake_id = %s AND season_id = %s AND species_id = %s AND NOT withdrawn
GROUP BY 1, 2, 3, 4
"""

# A spread of lengths, sexes and stages that is the same on every run; a third of each species.
FILL = """
INSERT INTO samples_fish (
    entry_id, fingerprint, party_id, leg, lake_id, season_id, arm_id, reach_id, donor_id, method,
    caught_on, species_id, told_by, sex, length_hundredths_mm, length_as_measured,
    length_unit_as_measured, vial_number_said, progress, withdrawn, slip_answers, logged_by_id,
    logged_at, received_at
)
WITH RECURSIVE numbers(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM numbers WHERE i < %s)
SELECT {uuid}, '', p.id, 1, p.lake_id, p.season_id, p.arm_id, NULL, p.donor_id, p.method,
    p.caught_on, {species} + i %% 3, '',
    CASE (p.id + i) %% 3 WHEN 0 THEN 'F' WHEN 1 THEN 'M' ELSE 'U' END,
    254 * (40 + (p.id * 7919 + i * 104729) %% 61 + (p.id * 31 + i * 17) %% 41),
    '9.4', 'in', '', ((p.id + i * 7) %% 12) / 2, {false}, '[]', p.opened_by_id,
    p.opened_at, p.received_at
FROM samples_party p CROSS JOIN numbers
WHERE p.lake_id > %s
"""


def run() -> list[BenchmarkResult]:
    """Fill, measure, fill up to a million fish, measure again."""
    biologist, first = make_frame()
    make_lakes(biologist, FEW_LAKES)
    lake = fill(after=0, first_species=first)
    choice = choice_at(lake)
    ours, floor = counting(biologist, choice), raw_of(choice)
    few, _ = in_turn(ours, floor, rounds=60)
    last = Lake.objects.order_by("-pk")[0].pk
    make_lakes(biologist, LAKES - FEW_LAKES)
    fill(after=last, first_species=first)
    count, raw = in_turn(ours, floor, rounds=60)
    page, raw_beside_page = in_turn(page_of(biologist, lake), floor)
    most = max(1.5 * raw, raw + 2)
    size = f"{LAKES * FISH_A_LAKE:,} fish"
    return [
        BenchmarkResult(
            f"coverage: count and shape one lake of {size}, against raw SQL",
            count,
            raw,
            "ms",
            "at most 1.5 x raw, or raw + 2 ms",
            count <= most,
        ),
        BenchmarkResult(
            f"coverage: the whole page of one lake of {size}, against raw SQL",
            page,
            raw_beside_page,
            "ms",
            "at most raw + 60 ms",
            page <= raw_beside_page + 60,
        ),
        BenchmarkResult(
            f"coverage: one lake of {size}, against {FEW_LAKES * FISH_A_LAKE:,} fish",
            count,
            few,
            "ms",
            "at most 1.5 x",
            count <= 1.5 * few,
        ),
    ]


def say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def make_frame() -> tuple[User, int]:
    """Make a biologist and three species; their numbers follow one another."""
    biologist = User.objects.create(username="biologist", display_name="N. Aubrey", password="!")
    usual = {
        "plausible_min_hundredths_mm": 2 * INCH,
        "plausible_max_hundredths_mm": 20 * INCH,
        "plausible_max_age_years": 12,
    }
    species = [
        Species.objects.create(code=code, name=code, short_name=code[:20], **usual)
        for code in ("white-crappie", "black-crappie", "walleye")
    ]
    assert [one.pk - species[0].pk for one in species] == [0, 1, 2]
    return biologist, species[0].pk


def make_lakes(biologist: User, count: int) -> None:
    """Make lakes with arms, seasons, donors, targets and parties; the fish come after."""
    species = list(Species.objects.order_by("pk"))
    before = Lake.objects.count()
    for number in range(before, before + count):
        lake = Lake.objects.create(name=f"Lake {number}", slug=f"lake-{number}")
        LakeSpecies.objects.bulk_create(LakeSpecies(lake=lake, species=one) for one in species)
        arms = Arm.objects.bulk_create(Arm(lake=lake, name=name) for name in ARMS)
        Reach.objects.bulk_create(
            Reach(arm=arm, name=name) for arm in arms for name in ("Lower", "Upper")
        )
        donors = Donor.objects.bulk_create(
            Donor(lake=lake, name=f"Guide {one}") for one in range(DONORS)
        )
        if number < FEW_LAKES:
            Membership.objects.create(person=biologist, lake=lake, role="biologist")
        seasons = Season.objects.bulk_create(
            Season(
                lake=lake,
                name=str(year),
                number_year=year,
                starts_on=date(year, 1, 1),
                ends_on=date(year, 12, 31),
            )
            for year in YEARS
        )
        make_targets(seasons[-1], species[0], arms)
        make_parties(biologist, lake, seasons, arms, donors)


def make_targets(season: Season, species: Species, arms: list[Arm]) -> None:
    Target.objects.bulk_create(
        Target(
            season=season,
            species=species,
            arm=arm,
            from_hundredths_mm=place * INCH,
            below_hundredths_mm=(place + 1) * INCH,
            wanted=10 if arm is None else 2,
        )
        for place in range(4, 14)
        for arm in [None, *arms]
    )


def make_parties(
    biologist: User, lake: Lake, seasons: list[Season], arms: list[Arm], donors: list[Donor]
) -> None:
    """Ten parties for each season and arm; a donor keeps to an arm or two, as guides do."""
    Party.objects.bulk_create(
        Party(
            party_id=f"{lake.pk:08x}-0000-4000-8000-{season.pk:06x}{arm.pk % 4096:03x}{k:03x}",
            fingerprint="",
            lake=lake,
            season=season,
            arm=arm,
            caught_on=date(season.number_year, 4, 1 + k),
            method="angler_kept" if k % 5 else "trap_net",
            how_chosen="every_fish",
            donor=donors[(2 * place + k % 3) % DONORS],
            opened_by=biologist,
            opened_at=NOW,
            received_at=NOW,
        )
        for season in seasons
        for place, arm in enumerate(arms)
        for k in range(10)
    )


def fill(*, after: int, first_species: int) -> Lake:
    """Add fish to every lake past `after`, and let the database take stock."""
    each = -(-FISH_A_LAKE // (len(YEARS) * len(ARMS) * 10))
    postgresql = connection.vendor == "postgresql"
    uuid = "gen_random_uuid()" if postgresql else "lower(hex(randomblob(16)))"
    statement = FILL.format(uuid=uuid, species=first_species, false="false" if postgresql else "0")
    say("Filling ...")
    with connection.cursor() as cursor:
        cursor.execute(statement, [each, after])
        say(f"{cursor.rowcount:,} fish written.")
        cursor.execute("VACUUM ANALYZE samples_fish" if postgresql else "ANALYZE")
    return Lake.objects.order_by("pk")[0]


def choice_at(lake: Lake) -> CoverageSelection:
    season = Season.objects.get(lake=lake, name="2026")
    return CoverageSelection(
        lake, season, Species.objects.get(code="white-crappie"), bin_width=INCH
    )


def counting(biologist: User, choice: CoverageSelection):
    """Return what counts and shapes as the page does, with the lake and its targets read."""
    arms = options_of(choice.lake, NOW.date()).arms
    targets = targets_of_season(choice.season, choice.species)[choice.species.pk]
    wanted, _ = sum_in_bins([one.row for one in targets], choice.bin_width)

    def count() -> None:
        rows = count_rows(fish_counted_at(biologist, choice.lake), choice)
        shape(arms, choice, tallies(rows, FROM[choice.count]), wanted, {})

    return count


def raw_of(choice: CoverageSelection):
    keys = [choice.lake.pk, choice.season.pk, choice.species.pk]

    def rows() -> None:
        with connection.cursor() as cursor:
            cursor.execute(RAW, keys)
            cursor.fetchall()

    return rows


def page_of(biologist: User, lake: Lake):
    """Return what opens the page as the biologist."""
    client = Client()
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("targets:coverage", args=[lake.slug])

    @override_settings(ALLOWED_HOSTS=["testserver"], SECURE_SSL_REDIRECT=False)
    def open_page() -> None:
        answer = client.get(address, {"season": "2026", "species": "white-crappie"})
        assert answer.status_code == 200

    return open_page
