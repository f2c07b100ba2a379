"""A small PDF: pages of text and stencils, packed so that thousands of labels stay small.

A drawing library spends a kilobyte on each page of a roll. Here everything but the pages' own
contents goes into compressed object streams. ISO 32000-1: 7.5.7 and 7.5.8 for those streams, 8.9.7
for inline images, 12.2 for what viewers may do.
"""

from __future__ import annotations

import hashlib
import unicodedata
import zlib
from dataclasses import dataclass, field

# The objects whose numbers are known beforehand.
CATALOG, INFO, REGULAR, BOLD, PAGES, OUTLINE = range(1, 7)
# Objects in one object stream, and pages below one node of the page tree.
IN_A_STREAM, BELOW_A_NODE = 200, 100
FONTS = {REGULAR: "Helvetica", BOLD: "Helvetica-Bold"}


@dataclass(slots=True)
class Document:
    """Pages of one size, written one after the other; `finish` returns the file."""

    width_pt: float
    height_pt: float
    _out: bytearray = field(default_factory=lambda: bytearray(b"%PDF-1.6\n%\xe2\xe3\xcf\xd3\n"))
    # Of an object: where it begins; or the object stream that holds it, and its place in there.
    _offsets: dict[int, int] = field(default_factory=dict)
    _packed_at: dict[int, tuple[int, int]] = field(default_factory=dict)
    _waiting: list[tuple[int, bytes]] = field(default_factory=list)
    _last: int = OUTLINE
    _forms: dict[str, int] = field(default_factory=dict)
    _openings: dict[bytes, int] = field(default_factory=dict)
    _nodes: list[tuple[int, list[int]]] = field(default_factory=list)
    _entries: list[tuple[str, int]] = field(default_factory=list)

    def add_form(self, name: str, content: bytes) -> None:
        """Keep a drawing that pages show by its name; it hangs down from where it is shown."""
        box = f"/BBox[0 {number(-self.height_pt)} {number(self.width_pt)} 0]"
        form = f"/Type/XObject/Subtype/Form{box}/Resources<<{_fonts()}>>"
        self._forms[name] = self._add_stream(content, form)

    def add_page(self, content: bytes, opening: bytes = b"") -> int:
        """Add a page and return its object, for an entry of the outline.

        What many pages begin with is kept once.
        """
        if not self._nodes or len(self._nodes[-1][1]) == BELOW_A_NODE:
            self._nodes.append((self._new(), []))
        node, pages = self._nodes[-1]
        if opening and opening not in self._openings:
            self._openings[opening] = self._add_stream(opening)
        streams = [*([self._openings[opening]] if opening else []), self._add_stream(content)]
        contents = " ".join(f"{stream} 0 R" for stream in streams)
        page = self._new()
        self._pack(page, f"<</Type/Page/Parent {node} 0 R/Contents[{contents}]>>")
        pages.append(page)
        return page

    def add_entry(self, title: str, page: int) -> None:
        """Let the outline lead to a page."""
        self._entries.append((title, page))

    def finish(self, *, title: str, subject: str) -> bytes:
        """Return the file; the same pages give the same bytes."""
        self._write_page_tree()
        self._write_outline()
        for font, name in FONTS.items():
            face = f"<</Type/Font/Subtype/Type1/BaseFont/{name}/Encoding/WinAnsiEncoding>>"
            self._write(font, face.encode())
        preferences = "/ViewerPreferences<</PrintScaling/None>>"
        outline = f"/Outlines {OUTLINE} 0 R" if self._entries else ""
        catalog = f"<</Type/Catalog/Pages {PAGES} 0 R{preferences}/Lang (en-US){outline}>>"
        self._write(CATALOG, catalog.encode())
        facts = {"Title": title, "Subject": subject, "Author": "Earstone", "Creator": "Earstone"}
        words = b"".join(b"/%s%s" % (key.encode(), _text(what)) for key, what in facts.items())
        self._write(INFO, b"<<" + words + b">>")
        self._flush()
        self._write_cross_references()
        return bytes(self._out)

    def _write_page_tree(self) -> None:
        for node, pages in self._nodes:
            kids = " ".join(f"{page} 0 R" for page in pages)
            below = f"/Parent {PAGES} 0 R/Kids[{kids}]/Count {len(pages)}"
            self._pack(node, f"<</Type/Pages{below}>>")
        kids = " ".join(f"{node} 0 R" for node, _ in self._nodes)
        count = sum(len(pages) for _, pages in self._nodes)
        box = f"/MediaBox[0 0 {number(self.width_pt)} {number(self.height_pt)}]"
        forms = "".join(f"/{name} {form} 0 R" for name, form in self._forms.items())
        own = f"/Resources<<{_fonts()}/XObject<<{forms}>>>>"
        self._pack(PAGES, f"<</Type/Pages/Kids[{kids}]/Count {count}{box}{own}>>")

    def _write_outline(self) -> None:
        if not self._entries:
            return
        entries = [self._new() for _ in self._entries]
        for place, (title, page) in enumerate(self._entries):
            links = f"/Parent {OUTLINE} 0 R/Dest[{page} 0 R/Fit]"
            links += f"/Prev {entries[place - 1]} 0 R" if place else ""
            links += f"/Next {entries[place + 1]} 0 R" if place + 1 < len(entries) else ""
            self._pack(entries[place], b"<</Title" + _text(title) + links.encode() + b">>")
        ends = f"/First {entries[0]} 0 R/Last {entries[-1]} 0 R/Count {len(entries)}"
        self._pack(OUTLINE, f"<</Type/Outlines{ends}>>")

    def _new(self) -> int:
        self._last += 1
        return self._last

    def _write(self, number: int, content: bytes) -> None:
        self._offsets[number] = len(self._out)
        self._out += b"%d 0 obj\n%s\nendobj\n" % (number, content)

    def _add_stream(self, content: bytes, more: str = "") -> int:
        number = self._new()
        self._write(number, _stream(content, more))
        return number

    def _pack(self, number: int, content: str | bytes) -> None:
        """Keep an object for the next object stream."""
        self._waiting.append((number, content.encode() if isinstance(content, str) else content))
        if len(self._waiting) == IN_A_STREAM:
            self._flush()

    def _flush(self) -> None:
        if not self._waiting:
            return
        stream = self._new()
        heads, body = [], b""
        for place, (number, content) in enumerate(self._waiting):
            self._packed_at[number] = (stream, place)
            heads.append(f"{number} {len(body)}")
            body += content + b"\n"
        head = " ".join(heads).encode() + b"\n"
        held = f"/Type/ObjStm/N {len(self._waiting)}/First {len(head)}"
        self._write(stream, _stream(head + body, held))
        self._waiting.clear()

    def _write_cross_references(self) -> None:
        """Write where each object is; the table stands for itself too."""
        table, begins = self._new(), len(self._out)
        self._offsets[table] = begins
        rows = b"".join(self._row(at) for at in range(table + 1))
        known = f"/Type/XRef/Size {table + 1}/W[1 4 2]/Root {CATALOG} 0 R/Info {INFO} 0 R"
        # A file of the same bytes has the same name: it shows changed files, it protects none.
        name = hashlib.md5(bytes(self._out), usedforsecurity=False).hexdigest()
        self._write(table, _stream(rows, f"{known}/ID[<{name}><{name}>]"))
        self._out += b"startxref\n%d\n%%%%EOF\n" % begins

    def _row(self, at: int) -> bytes:
        if at in self._packed_at:
            stream, place = self._packed_at[at]
            return b"\x02" + stream.to_bytes(4, "big") + place.to_bytes(2, "big")
        if at in self._offsets:
            return b"\x01" + self._offsets[at].to_bytes(4, "big") + bytes(2)
        return bytes(5) + b"\xff\xff"


def number(value: float) -> str:
    """Write a number as short as a thousandth of a point allows."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def encode_text(text: str) -> bytes:
    """Return a text as a string of a page, in the characters that the fonts have.

    A letter with a sign that they lack is written without its sign, any other as a question mark.
    """
    composed = unicodedata.normalize("NFC", text)
    try:
        return b"(" + _escaped(composed.encode("cp1252")) + b")"
    except UnicodeEncodeError:
        return b"(" + _escaped(b"".join(_nearest(letter) for letter in composed)) + b")"


def _nearest(letter: str) -> bytes:
    try:
        return letter.encode("cp1252")
    except UnicodeEncodeError:
        return unicodedata.normalize("NFD", letter)[:1].encode("cp1252", "replace")


def _text(text: str) -> bytes:
    """Return a text of the file itself: its title, an entry of the outline."""
    if text.isascii():
        return b"(" + _escaped(text.encode()) + b")"
    return b"<" + ("\ufeff" + text).encode("utf-16-be").hex().encode() + b">"


def _escaped(text: bytes) -> bytes:
    for special in (b"\\", b"(", b")", b"\r", b"\n"):
        text = text.replace(special, b"\\" + special.replace(b"\r", b"r").replace(b"\n", b"n"))
    return text


def _stream(content: bytes, more: str = "") -> bytes:
    """Return a stream, compressed where that makes it smaller."""
    packed = zlib.compress(content, 9)
    short = len(packed) + len("/Filter/FlateDecode") < len(content)
    more += "/Filter/FlateDecode" if short else ""
    kept = packed if short else content
    return b"<<%s/Length %d>>stream\n%s\nendstream" % (more.encode(), len(kept), kept)


def _fonts() -> str:
    return f"/Font<</R {REGULAR} 0 R/B {BOLD} 0 R>>"
