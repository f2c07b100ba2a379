"""CPU time and memory of findings at 300 to 100,000 aged fish: the analysis, without its figures.

Each page is worked out in a process of its own, so that what one leaves behind is not counted for
the next. The floor is one pass over the fish that any page makes: sorting them by length bin.
"""

import json
import os
import resource
import time
import traceback
from datetime import date

import numpy as np
from django.db import connection

from samples.findings import topics
from samples.findings.entered import Entered
from samples.findings.limits import LimitSelection
from samples.findings.queries import FindingsOptions, FindingsSelection
from samples.findings.queries.choice import ARMS
from samples.findings.queries.loaded import Loaded
from samples.findings.sample import Sample
from samples.findings.topics.query import TopicQuery
from samples.management.timing import BenchmarkResult
from samples.models import Arm, Lake, LakeSpecies, Season, Species

NAME = "findings"
# A child of this process has to find the database.
ON_DISK = True
TOPICS = ("growth", "deaths", "ages", "length-limit")
# Aged fish, and the CPU seconds that a page of so many may take.
GOALS = {300: 0.3, 3_000: 0.6, 30_000: 2.0, 100_000: 5.0}
MOST_MB = 200
# Aged fish that make a page use every library it may: a smoothed key needs a hundred in a group.
LOADS_ALL = 600
MEASURED_EACH, SEASONS, ARM_NAMES = 3, 3, ("Brindle", "Cutbank", "Hobbin")
# Deaths far above natural ones, so that a length limit is judged.
LINF_MM, K, CV, Z, OLDEST = 330.0, 0.42, 0.08, 1.0, 10
FISH_A_TRIP = 12


def run():
    return [result for topic in TOPICS for aged in GOALS for result in results_of(topic, aged)]


def results_of(topic, aged):
    """Return seconds of CPU and megabytes of a page, each against its goal."""
    seconds, floor, megabytes = _apart(topic, aged)
    words = f"{NAME}: {topic}, {aged:,} aged of {MEASURED_EACH * aged:,} measured fish"
    return [
        BenchmarkResult(
            f"{words}: CPU, against sorting the fish",
            seconds,
            floor,
            "s",
            f"at most {GOALS[aged]:g} s",
            met=seconds <= GOALS[aged],
        ),
        BenchmarkResult(
            f"{words}: memory", megabytes, MOST_MB, "MB", f"at most {MOST_MB} MB",
            met=megabytes <= MOST_MB,
        ),
    ]  # fmt: skip


def _apart(topic, aged):
    """Work a page out in a child, and return its CPU seconds, the floor's, and its megabytes."""
    reading, writing = os.pipe()
    # The child opens a connection of its own.
    connection.close()
    child = os.fork()
    if child == 0:
        try:
            os.write(writing, json.dumps(_measured(topic, aged)).encode())
        except Exception:
            traceback.print_exc()
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as told:
        text = told.read()
    os.waitpid(child, 0)
    if not text:
        raise RuntimeError(f"{topic} of {aged} fish was not worked out")
    return json.loads(text)


def _measured(topic, aged):
    query = _query(aged)
    # What a page loads the first time is no part of its work.
    topics.TOPICS[topic].build(_query(LOADS_ALL))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    page = topics.TOPICS[topic].build(query)
    seconds = time.process_time() - start
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if page.refused:
        raise RuntimeError(page.refused)
    start = time.process_time()
    np.argsort(query.bin_of(query.sample), kind="stable")
    floor = time.process_time() - start
    return seconds, floor, (after - before) / 1024


def _query(aged):
    lake = Lake(pk=1, name="Simulated", length_unit="mm")
    kind = Species(pk=1, code="white-crappie", name="White crappie")
    species = LakeSpecies(pk=1, lake=lake, species=kind, bin_width_hundredths_mm=2500)
    seasons = [
        Season(
            pk=1 + place,
            lake=lake,
            name=str(year),
            number_year=year,
            starts_on=date(year, 1, 1),
            ends_on=date(year, 12, 31),
        )
        for place, year in enumerate(range(2027 - SEASONS, 2027))
    ]
    arms = [Arm(pk=1 + place, lake=lake, name=name) for place, name in enumerate(ARM_NAMES)]
    choice = FindingsSelection(
        species, tuple(seasons), compare=ARMS, limit=LimitSelection(limits_mm=(254.0,))
    )
    options = FindingsOptions(lake, seasons, [species], arms, seasons[-1])
    loaded = Loaded(read_pairs=[], read_entered=Entered([], [], [], [], []))
    return TopicQuery(options, choice, _sample(aged), loaded)


def _sample(aged):
    rng = np.random.default_rng(1)
    count = MEASURED_EACH * aged
    ages = np.arange(1, OLDEST + 1)
    shares = np.exp(-Z * ages)
    age = rng.choice(ages, count, p=shares / shares.sum())
    clock = age + rng.uniform(0.1, 0.9, count)
    length = LINF_MM * -np.expm1(-K * clock) * rng.normal(1, CV, count)
    season = rng.integers(0, SEASONS, count)
    party = rng.integers(0, max(count // FISH_A_TRIP, 6), count)
    nets = party % 2 == 0
    read = np.zeros(count, dtype=bool)
    read[rng.permutation(count)[:aged]] = True
    kept = nets | (length >= 200)
    words = {
        "sex": "F", "how_chosen": "every_fish", "unit": "mm", "as_measured": "", "vial": "",
        "structure": "otolith",
    }  # fmt: skip
    whole = np.ones(count, dtype=np.int64)
    sample = Sample(
        fish=np.arange(count),
        species=whole,
        arm=1 + party % len(ARM_NAMES),
        season=1 + season,
        party=party * SEASONS + season,
        donor=-whole,
        method=np.where(nets, "trap_net", "angler_kept").astype(object),
        length_mm=np.maximum(np.round(length, 2), 30.0),
        age=np.where(read, age, -1),
        as_given=np.zeros(count, dtype=bool),
        agreed=read,
        month=5 * whole,
        year=2027 - SEASONS + season,
        clock=np.where(read, clock, np.nan),
        weight_g=np.zeros(count),
        left_out=[],
        whole_years=False,
        **{name: np.full(count, word, dtype=object) for name, word in words.items()},
    )
    return sample.where(kept)
