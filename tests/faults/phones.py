"""A phone at the ramp: it writes, keeps an outbox, and believes only what the site answered.

The rules are those of the page on a real phone: an entry leaves the outbox on ``logged``,
``already_logged`` or ``held`` and on nothing else. A portal's page, an error of the server,
half an answer or none mean the same: keep everything and try again.
"""

import asyncio
import json
import random
from datetime import UTC, datetime, timedelta, timezone

from tests.faults.photos import Photos
from tests.faults.proxy import results_in
from tests.faults.server import HOST

FINAL = {"logged", "already_logged", "held"}
MOST_IN_A_BATCH = 25
# What changes every fish written before it.
OF_ALL_FISH = {"party_changed", "shift"}
LAKE_OFFSET = timezone(timedelta(hours=-5))


class FaultyPhone:
    """One phone with the story it will write. ``heard`` is in the order of the answers."""

    def __init__(self, story, *, seed, proxy_port, patience):
        self.story = story
        self._rng = random.Random(f"{seed} phone {story.number}")
        self._proxy_port = proxy_port
        self._patience = patience
        self._tries = 0
        self._most = MOST_IN_A_BATCH
        self.outbox = []
        self.photos = Photos(story.token, story.number, proxy_port, patience)
        self.heard = []
        self.given_up = []
        self.complaints = []

    @property
    def settled(self):
        """Return how many entries were answered for good."""
        return len(self.heard) + len(self.given_up)

    async def live(self):
        """Write the story bit by bit and send, until everything was answered."""
        to_write = list(self.story.written)
        failures = 0
        await asyncio.sleep(self._rng.uniform(0, 0.3))
        while to_write or self.outbox or self.photos.waiting:
            self._write(to_write)
            if await self._send_something():
                failures = 0
                await asyncio.sleep(self._rng.uniform(0, 0.05))
            else:
                failures += 1
                # The same batch may be what the server stumbles over: send less of it.
                self._most = max(1, self._most // 2) if failures > 3 else self._most
                longest = min(0.05 * 2**failures, self._patience / 4)
                await asyncio.sleep(self._rng.uniform(longest / 2, longest))

    def _write(self, to_write):
        for _ in range(min(self._rng.randint(1, 6), len(to_write))):
            if to_write[0].words["kind"] in OF_ALL_FISH and self._is_asked():
                return
            entry = to_write.pop(0)
            clock = datetime.now(UTC) + self.story.clock_error
            entry.words["written_at"] = clock.astimezone(LAKE_OFFSET).isoformat()
            self.outbox.append(entry)

    def _is_asked(self):
        """Return whether a question about a fish is still open:
        first that, then the whole party.
        """
        return any(entry.confirm or entry.retype for entry in self.outbox)

    async def _send_something(self):
        """Send what was written, and where nothing of that waits, a photo."""
        return await (self._send() if self.outbox else self.photos.send())

    async def _send(self):
        batch = self.outbox[: self._most]
        try:
            answer = await asyncio.wait_for(self._post(batch), self._patience)
        except (OSError, TimeoutError):
            return False
        _, results = results_in(answer)
        if results is None or len(results) != len(batch):
            return False
        self._most = MOST_IN_A_BATCH
        for entry, result in zip(batch, results, strict=True):
            self._hear(entry, result)
        return True

    async def _post(self, batch):
        self._tries += 1
        body = json.dumps({"entries": [entry.words for entry in batch]}).encode()
        head = (
            "POST /api/v1/outbox/ HTTP/1.1\r\n"
            f"Host: {HOST}\r\nAuthorization: Token {self.story.token}\r\n"
            f"X-Phone: {self.story.number}\r\nX-Try: {self._tries}\r\n"
            "Content-Type: application/json\r\nConnection: close\r\n"
            f"Content-Length: {len(body)}\r\n\r\n"
        )
        reader, writer = await asyncio.open_connection(HOST, self._proxy_port, limit=2**22)
        try:
            writer.write(head.encode() + body)
            await writer.drain()
            return await reader.read(-1)
        finally:
            writer.close()

    def _hear(self, entry, result):
        outcome, reason = result["outcome"], result["reason"]
        if result["entry_id"] != entry.words["entry_id"]:
            self.complaints.append(f"an answer for {result['entry_id']} came for {entry}")
        elif outcome in FINAL:
            entry.outcome, entry.reason = outcome, reason
            self.outbox.remove(entry)
            self.heard.append(entry)
            if entry.words["kind"] == "fish" and outcome != "held":
                self.photos.take(entry.words["entry_id"])
        elif outcome != "refused":
            self.complaints.append(f"{entry} was answered {outcome!r}")
        elif entry.put_right(reason):
            pass  # it stays in its place and goes again with the next batch
        else:
            entry.outcome, entry.reason = outcome, reason
            self.outbox.remove(entry)
            self.given_up.append(entry)
