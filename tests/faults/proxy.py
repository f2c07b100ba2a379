"""The bad link between phones and site: a proxy that loses, cuts, doubles and delays.

What befalls a request is drawn from the seed, the phone and the number of its try, so it does
not depend on how fast anything ran.
"""

import asyncio
import collections
import contextlib
import json
import random

from tests.faults.server import HOST

# How a request fares, and how often.
FATES = {
    "passed": 44,
    "answer dropped": 16,
    "body cut": 8,
    "answer cut": 6,
    "doubled": 10,
    "delayed": 6,
    "replayed late": 7,
    "portal page": 3,
}
PORTAL = (
    b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: 32\r\n"
    b"Connection: close\r\n\r\n<p>Welcome. Please sign in.</p>\r\n"
)
UPSTREAM_TIMEOUT = 60


class Proxy:
    """Stands on this machine between phones and gunicorn, and keeps what both said."""

    def __init__(self, seed, upstream_port, *, longest_delay):
        self._seed = seed
        self._upstream_port = upstream_port
        self._longest_delay = longest_delay
        self._server = None
        self._later = set()
        self._at_work = asyncio.Event()
        self._in_flight = 0
        self.port = 0
        self.counts: collections.Counter = collections.Counter()
        self.statuses: collections.Counter = collections.Counter()
        self.delivered = []
        # Every answer the site gave, heard by a phone or not: words as sent -> outcomes.
        self.answers = collections.defaultdict(list)

    async def start(self):
        self._server = await asyncio.start_server(self._serve, HOST, 0, limit=2**22)
        self.port = self._server.sockets[0].getsockname()[1]

    async def stop(self):
        if self._server is not None:
            self._server.close()
        for task in list(self._later):
            task.cancel()
        await asyncio.gather(*self._later, return_exceptions=True)

    async def until_at_work(self):
        """Wait until the site is at work on some request: the moment to kill it."""
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self._at_work.wait(), timeout=5)

    async def send_all_again(self, rng, most):
        """Send old requests once more, in no order, when nobody waits for them any more."""
        await asyncio.gather(*self._later, return_exceptions=True)
        chosen = rng.sample(self.delivered, min(most, len(self.delivered)))
        turns = asyncio.Semaphore(6)

        async def again(raw):
            async with turns:
                await self._ask(raw)

        await asyncio.gather(*(again(raw) for raw in chosen))
        self.counts["replayed at the end"] += len(chosen)

    async def _serve(self, reader, writer):
        try:
            raw = await _whole_request(reader)
            fate = self._fate(raw)
            self.counts["requests"] += 1
            self.counts[fate] += 1
            answer = await self._suffer(fate, raw)
            writer.write(answer)
            await writer.drain()
        except (OSError, asyncio.IncompleteReadError):
            pass  # the phone gave up waiting, or went out of reach
        finally:
            writer.close()

    def _fate(self, raw):
        phone, attempt = _header(raw, b"x-phone"), _header(raw, b"x-try")
        rng = random.Random(f"{self._seed} link {phone} {attempt}")
        return rng.choices(list(FATES), list(FATES.values()))[0]

    async def _suffer(self, fate, raw):
        """Do to a request what befalls it, and give back what its phone hears."""
        rng = random.Random(f"{self._seed} {fate} {len(raw)} {_header(raw, b'x-try')}")
        if fate == "portal page":
            return PORTAL
        if fate == "body cut":
            await self._deliver_part(raw, rng)
            return b""
        self.delivered.append(raw)
        if fate == "delayed":
            await asyncio.sleep(rng.uniform(0.1, self._longest_delay))
        if fate == "replayed late":
            self._later_on(raw, rng.uniform(0.2, self._longest_delay * 2))
        if fate == "doubled":
            answer, _ = await asyncio.gather(self._ask(raw), self._ask(raw))
        else:
            answer = await self._ask(raw)
        if fate == "answer dropped":
            self.counts["answer dropped after commit"] += results_in(answer)[1] is not None
            return b""
        return answer[: len(answer) // 2] if fate == "answer cut" else answer

    def _later_on(self, raw, seconds):
        async def again():
            await asyncio.sleep(seconds)
            await self._ask(raw)

        task = asyncio.create_task(again())
        self._later.add(task)
        task.add_done_callback(self._later.discard)

    async def _deliver_part(self, raw, rng):
        with contextlib.suppress(OSError):
            _, upstream = await asyncio.open_connection(HOST, self._upstream_port)
            head = raw.index(b"\r\n\r\n") + 4
            upstream.write(raw[: rng.randint(head // 2, len(raw) - 1)])
            await upstream.drain()
            upstream.close()

    async def _ask(self, raw):
        """Send a whole request to the site and wait for the whole answer."""
        self._in_flight += 1
        self._at_work.set()
        try:
            answer = await asyncio.wait_for(self._exchange(raw), UPSTREAM_TIMEOUT)
        except (OSError, TimeoutError):
            answer = b""
        finally:
            self._in_flight -= 1
            if not self._in_flight:
                self._at_work.clear()
        self._note(raw, answer)
        return answer

    async def _exchange(self, raw):
        reader, upstream = await asyncio.open_connection(HOST, self._upstream_port)
        try:
            upstream.write(raw)
            await upstream.drain()
            return await reader.read(-1)
        finally:
            upstream.close()

    def _note(self, raw, answer):
        status, results = results_in(answer)
        self.statuses[status] += 1
        if results is None:
            return
        sent = json.loads(raw.partition(b"\r\n\r\n")[2])["entries"]
        for words, result in zip(sent, results, strict=True):
            self.answers[as_key(words)].append((result["outcome"], result["reason"]))


async def _whole_request(reader):
    head = await reader.readuntil(b"\r\n\r\n")
    return head + await reader.readexactly(int(_header(head, b"content-length") or 0))


def _header(raw, name):
    for line in raw.partition(b"\r\n\r\n")[0].split(b"\r\n")[1:]:
        key, _, value = line.partition(b":")
        if key.lower() == name:
            return value.strip().decode()
    return ""


def results_in(answer):
    """Read status and results of an answer; no results unless it is whole and the site's own."""
    head, _, body = answer.partition(b"\r\n\r\n")
    words = head.split(b" ", 2)
    status = int(words[1]) if len(words) > 2 and words[1].isdigit() else 0
    try:
        results = json.loads(body)["results"] if status == 200 else None
    except (KeyError, TypeError, ValueError):
        results = None
    return status, results


def as_key(words):
    return json.dumps(words, sort_keys=True)
