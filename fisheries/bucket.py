"""Uploads in a bucket that speaks S3: private, and read a part at a time.

Pages ask who may see a file and send it themselves; nobody is handed a link to the bucket.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from boto3.s3.transfer import TransferConfig
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError
from django.core.files.base import File
from storages.backends.s3 import S3Storage

from fisheries.files import FilesUnreachable

# One tile of a picture comes with one request; a whole picture with few.
READ_AT_ONCE = 256 * 1024
# Larger than the largest picture: each file is one request, and whole or not there at all.
MOST_IN_ONE_REQUEST = 64 * 1024 * 1024
# A page waits for the bucket; somebody stands before it.
CONNECT_TIMEOUT_S, READ_TIMEOUT_S, TRIES = 5, 30, 3
_GONE = {"404", "NoSuchKey", "NotFound"}


@contextmanager
def _asking(name: str) -> Iterator[None]:
    """Tell a file that is not there from a bucket that does not answer.

    :raises FileNotFoundError: if there is no such file
    :raises FilesUnreachable: if the bucket did not say
    """
    try:
        yield
    except ClientError as problem:
        code = problem.response.get("Error", {}).get("Code", "")
        if code in _GONE:
            raise FileNotFoundError(f"{name} is not in the bucket.") from problem
        raise FilesUnreachable(f"The bucket of files refused {name or 'us'}: {code}.") from problem
    except BotoCoreError as problem:
        raise FilesUnreachable(f"The bucket of files cannot be reached: {problem}") from problem


class PartReader(io.RawIOBase):
    """A file of a bucket, fetched from where it is read."""

    def __init__(self, item: Any, name: str) -> None:
        super().__init__()
        self._item = item
        self._name = name
        self._at = 0
        with _asking(name):
            self.size: int = item.content_length

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        start = {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: self.size}[whence]
        if start + offset < 0:
            raise ValueError(f"{start + offset} lies before the file")
        self._at = start + offset
        return self._at

    def readinto(self, buffer: Any) -> int:
        last = min(self._at + len(buffer), self.size) - 1
        if last < self._at:
            return 0
        with _asking(self._name):
            answer = self._item.get(Range=f"bytes={self._at}-{last}")
            data: bytes = answer["Body"].read()
        buffer[: len(data)] = data
        self._at += len(data)
        return len(data)


class BucketFile(File[bytes]):
    """A file of a bucket; it may be opened again after it was closed, as one of a folder may."""

    def __init__(self, item: Any, name: str) -> None:
        self._item = item
        super().__init__(self._reader(name), name)

    def open(self, mode: str | None = None, *args: Any, **kwargs: Any) -> "BucketFile":
        if self.closed:
            self.file = self._reader(self.name or "")
        else:
            self.seek(0)
        return self

    def _reader(self, name: str) -> io.BufferedReader:
        return io.BufferedReader(PartReader(self._item, name), READ_AT_ONCE)


class PrivateBucket(S3Storage):  # type: ignore[misc]
    """A bucket whose objects nobody but the site can read."""

    def get_default_settings(self) -> dict[str, Any]:
        """Return what holds for every site; settings name the bucket, where it is and the keys."""
        ours = {
            # An object that sets no access of its own is private, on every service.
            "default_acl": None,
            "querystring_auth": True,
            "file_overwrite": False,
            "gzip": False,
            "transfer_config": TransferConfig(
                multipart_threshold=MOST_IN_ONE_REQUEST, use_threads=False
            ),
            "client_config": Config(
                signature_version="s3v4",
                # Services other than Amazon's rarely have a host name for each bucket.
                s3={"addressing_style": "path"},
                connect_timeout=CONNECT_TIMEOUT_S,
                read_timeout=READ_TIMEOUT_S,
                retries={"total_max_attempts": TRIES, "mode": "standard"},
                # Many of them know no other checksum than that of the request.
                request_checksum_calculation="when_required",
                response_checksum_validation="when_required",
            ),
        }
        return {**super().get_default_settings(), **ours}

    def url(self, name: str | None, *args: Any, **kwargs: Any) -> str:
        """Refuse: whoever has a link to the bucket is asked for no permission.

        :raises NotImplementedError: always
        """
        raise NotImplementedError(f"{name} is sent by a page, never by a link to the bucket.")

    def _open(self, name: str, mode: str = "rb") -> BucketFile:
        if mode != "rb":
            raise ValueError("A file of the bucket is read as bytes, and never written over.")
        return BucketFile(self.bucket.Object(self._normalize_name(name)), name)

    def _save(self, name: str, content: Any) -> str:
        with _asking(name):
            kept: str = super()._save(name, content)
        return kept

    def exists(self, name: str) -> bool:
        with _asking(name):
            return bool(super().exists(name))

    def delete(self, name: str) -> None:
        with _asking(name):
            super().delete(name)

    def size(self, name: str) -> int:
        with _asking(name):
            return int(super().size(name))

    def listdir(self, path: str) -> tuple[list[str], list[str]]:
        with _asking(path):
            folders, files = super().listdir(path)
        return list(folders), list(files)

    def get_modified_time(self, name: str) -> datetime:
        with _asking(name):
            changed: datetime = super().get_modified_time(name)
        return changed
