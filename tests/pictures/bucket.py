"""A stand-in for a service that speaks S3, on this machine: objects in memory, nothing else.

It answers what the protocol says to the requests that the site makes: put, get (a range too),
head, delete and list. Source: Amazon S3 API Reference, version 2006-03-01. Signatures are only
looked for, not checked; whoever sends none gets nothing, as from a private bucket.
"""

import hashlib
import re
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import parse_qs, unquote, urlsplit
from xml.sax.saxutils import escape

BUCKET = "otoliths"
LAST_MODIFIED = "Wed, 06 May 2026 10:00:00 GMT"


class BucketServer(ThreadingHTTPServer):
    """A bucket in memory: its objects by key, and the sizes of the parts that were read."""

    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), _Answers)
        self.objects: dict[str, bytes] = {}
        self.parts: list[int] = []


class _Answers(BaseHTTPRequestHandler):
    server: BucketServer
    protocol_version = "HTTP/1.1"

    def do_PUT(self):
        self.server.objects[self.key] = self.rfile.read(int(self.headers["Content-Length"]))
        self.answer(200, headers={"ETag": f'"{hashlib.sha256(self.key.encode()).hexdigest()}"'})

    def do_DELETE(self):
        self.server.objects.pop(self.key, None)
        self.answer(204)

    def do_HEAD(self):
        self.do_GET()

    def do_GET(self):
        if not self.headers.get("Authorization", "").startswith("AWS4-HMAC-SHA256 "):
            return self.answer(403, self.problem("AccessDenied"))
        if not self.key:
            return self.answer(200, self.listing())
        data = self.server.objects.get(self.key)
        if data is None:
            return self.answer(404, self.problem("NoSuchKey"))
        asked = re.fullmatch(r"bytes=(\d+)-(\d+)", self.headers.get("Range", ""))
        if asked is None:
            return self.answer(200, data)
        first, last = int(asked[1]), int(asked[2])
        part = data[first : last + 1]
        self.server.parts.append(len(part))
        return self.answer(206, part, {"Content-Range": f"bytes {first}-{last}/{len(data)}"})

    @property
    def key(self):
        bucket, _, key = unquote(urlsplit(self.path).path).lstrip("/").partition("/")
        assert bucket == BUCKET, bucket
        return key

    @staticmethod
    def problem(code):
        return f"<Error><Code>{code}</Code></Error>".encode()

    def listing(self):
        asked = {name: text[0] for name, text in parse_qs(urlsplit(self.path).query).items()}
        prefix, delimiter = asked.get("prefix", ""), asked.get("delimiter", "")
        below = [key for key in sorted(self.server.objects) if key.startswith(prefix)]
        ends = [key.find(delimiter, len(prefix)) if delimiter else -1 for key in below]
        folders = sorted({key[: end + 1] for key, end in zip(below, ends, strict=True) if end >= 0})
        files = [key for key, end in zip(below, ends, strict=True) if end < 0]
        words = "".join(f"<Contents><Key>{escape(key)}</Key></Contents>" for key in files)
        words += "".join(
            f"<CommonPrefixes><Prefix>{escape(name)}</Prefix></CommonPrefixes>" for name in folders
        )
        return f"<ListBucketResult>{words}</ListBucketResult>".encode()

    def answer(self, status, body=b"", headers=None):
        self.send_response(status)
        for name, value in {"Last-Modified": LAST_MODIFIED, **(headers or {})}.items():
            self.send_header(name, value)
        if status != 204:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD" and status != 204:
            self.wfile.write(body)

    def log_message(self, *words):
        pass


@contextmanager
def bucket_server():
    """Serve an empty bucket."""
    server = BucketServer()
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
