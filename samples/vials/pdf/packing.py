"""A drawn PDF packed small: a drawing library spends a kilobyte on each page of a roll."""

from __future__ import annotations

import io
import itertools
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pikepdf import Pdf


def pack(drawn: io.BytesIO) -> bytes:
    """Return a PDF with its objects in compressed streams; the same PDF gives the same bytes."""
    # Processes that only serve pages do without it.
    import pikepdf

    packed = io.BytesIO()
    with pikepdf.open(drawn) as document:
        _share_beginnings(document)
        document.save(
            packed,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            deterministic_id=True,
        )
    return packed.getvalue()


def _share_beginnings(document: Pdf) -> None:
    """Keep once what all pages begin with, in whole lines."""
    contents = [page.Contents for page in document.pages]
    if len(contents) == 1:
        return
    written = [content.read_bytes() for content in contents]
    # The pages between the first and the last in order begin with what those two share.
    lines = zip(
        *(page.splitlines(keepends=True) for page in (min(written), max(written))), strict=False
    )
    alike = itertools.takewhile(lambda pair: pair[0] == pair[1], lines)
    beginning = b"".join(line for line, _ in alike)
    shared = document.make_stream(beginning)
    for page, content, own in zip(document.pages, contents, written, strict=True):
        content.write(own[len(beginning) :])
        page.contents_add(shared, prepend=True)
