"""One run: phones at work, a bad link, killed servers, and the reckoning at the end."""

import asyncio
import collections
import dataclasses
import json
import random
import time
from datetime import UTC, datetime

from django.conf import settings
from django.db import connection

from tests.faults import broken
from tests.faults.phones import FaultyPhone
from tests.faults.photos import find_photo_faults
from tests.faults.proxy import Proxy
from tests.faults.reckoning import Reckoning, Span
from tests.faults.server import Site
from tests.faults.story import make_stories
from tests.faults.world import make_world

SHOWN = 3


@dataclasses.dataclass(frozen=True)
class Size:
    """How large a run is. ``patience`` is how long a phone waits for an answer, in seconds."""

    phones: int
    fish: int
    kills: int
    database_stops: int
    workers: int
    patience: float
    replays: int
    longest: int


SMALL = Size(
    phones=20,
    fish=10,
    kills=2,
    database_stops=1,
    workers=2,
    patience=3,
    replays=60,
    longest=150,
)
LARGE = Size(
    phones=200,
    fish=50,
    kills=20,
    database_stops=5,
    workers=3,
    patience=10,
    replays=400,
    longest=1200,
)


@dataclasses.dataclass
class RunOutcome:
    seed: int
    seconds: float
    figures: dict
    faults: dict
    log_tail: list

    def as_json(self):
        return json.dumps(dataclasses.asdict(self), indent=1)

    def summary(self):
        lines = [f"seed {self.seed}, {self.seconds:.0f} s"]
        lines += [f"  {name}: {figure}" for name, figure in self.figures.items()]
        lines.append(f"faults: {sum(len(found) for found in self.faults.values())}")
        for name, found in self.faults.items():
            lines.append(f"  {name}: {len(found)} times, for example")
            lines += [f"    {fault}" for fault in found[:SHOWN]]
        return "\n".join(lines)


def run(size, *, seed, database, folder, broken_as=""):
    """Run once on an empty, migrated database and reckon.

    Whatever happens, the site is stopped at the end; the database is the caller's.
    """
    begun, clock = datetime.now(UTC), time.monotonic()
    stories = make_stories(size.phones, size.fish, seed)
    office = make_world(stories, size.fish)
    if broken_as:
        broken.prepare(broken_as)
    site = Site(
        folder,
        database,
        application="tests.faults.broken:application" if broken_as else "fisheries.wsgi",
        workers=size.workers,
        environment={"EARSTONE_MEDIA": str(settings.MEDIA_ROOT)}
        | ({broken.VARIABLE: broken_as} if broken_as else {}),
    )
    # The database is about to be stopped: no connection of ours should stand in the way.
    connection.close()
    try:
        site.start()
        phones, proxy, ruin = asyncio.run(_play(size, seed, stories, site, database))
    finally:
        site.stop()
    reckoning = Reckoning(phones, proxy.answers, office, Span.since(begun))
    faults = reckoning.faults()
    if photo_faults := list(find_photo_faults(phones)):
        faults["photos are lost"] = photo_faults
    return RunOutcome(
        seed=seed,
        seconds=time.monotonic() - clock,
        figures={
            **_figures(phones, proxy, ruin, reckoning),
            "deadlocks": database.deadlocks(),
        },
        faults=faults,
        log_tail=site.log_tail() if faults else [],
    )


async def _play(size, seed, stories, site, database):
    longest_delay = size.patience * 1.3
    proxy = Proxy(seed, site.port, longest_delay=longest_delay)
    await proxy.start()
    phones = [
        FaultyPhone(story, seed=seed, proxy_port=proxy.port, patience=size.patience)
        for story in stories
    ]
    ruin = Ruin(size, seed, phones, proxy, site, database)
    lives = [asyncio.create_task(phone.live()) for phone in phones]
    destroyer = asyncio.create_task(ruin.go_on())
    try:
        _, unfinished = await asyncio.wait(lives, timeout=size.longest)
        for task in unfinished:
            task.cancel()
        if not unfinished:
            await destroyer
            await proxy.send_all_again(random.Random(f"{seed} replays"), size.replays)
        for task in lives:
            if task.done() and not task.cancelled():
                task.result()
    finally:
        destroyer.cancel()
        await asyncio.gather(destroyer, *lives, return_exceptions=True)
        await proxy.stop()
    return phones, proxy, ruin


class Ruin:
    """Kills workers, whole sites and databases, each at its share of the work done."""

    def __init__(self, size, seed, phones, proxy, site, database):
        self._rng = random.Random(f"{seed} ruin")
        self._phones = phones
        self._proxy = proxy
        self._site = site
        self._database = database
        self._entries = sum(len(phone.story.written) for phone in phones)
        # Workers and whole sites in turn, so that both are among two.
        kills = [self._kill_worker, self._kill_whole] * size.kills
        blows = kills[: size.kills] + [self._stop_database] * size.database_stops
        self._rng.shuffle(blows)
        self._blows = blows
        self.counts: collections.Counter = collections.Counter()

    async def go_on(self):
        for turn, blow in enumerate(self._blows, start=1):
            await self._until_done(turn / (len(self._blows) + 1))
            await self._proxy.until_at_work()
            await asyncio.sleep(self._rng.uniform(0, 0.04))
            await asyncio.to_thread(blow)

    async def _until_done(self, share):
        while sum(phone.settled for phone in self._phones) < share * self._entries:
            await asyncio.sleep(0.02)

    def _kill_worker(self):
        self.counts["workers killed"] += 1
        self._site.kill_one_worker()

    def _kill_whole(self):
        self.counts["whole sites killed"] += 1
        self._site.kill_whole()
        self._site.start()

    def _stop_database(self):
        self.counts["databases stopped"] += 1
        self._database.stop_at_once()
        time.sleep(0.3)
        self._database.start_again()


def _figures(phones, proxy, ruin, reckoning):
    heard = [entry for phone in phones for entry in phone.heard]
    kinds = collections.Counter(entry.words["kind"] for entry in heard)
    reasons = collections.Counter(entry.reason for entry in heard if entry.outcome == "held")
    given_up = [entry.reason for phone in phones for entry in phone.given_up]
    return {
        "phones": len(phones),
        "entries believed saved": len(heard),
        "by kind": dict(kinds),
        "held": dict(reasons),
        "photos believed kept": sum(len(phone.photos.kept) for phone in phones),
        "refused and given up": dict(collections.Counter(given_up)),
        "vials that two phones used": len(reckoning.contested()),
        "link": dict(proxy.counts),
        "answers by status": {str(status): n for status, n in sorted(proxy.statuses.items())},
        "ruin": dict(ruin.counts),
    }
