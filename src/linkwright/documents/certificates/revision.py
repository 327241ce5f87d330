"""The file of a certificate: the page as it was set, and one revision for each signature.

The program that sets the page writes every object plainly, with one table of their places. A
signature is added behind it as one revision in one fixed form (ISO 32000-2, 7.5.6 and 12.8):
catalogue and page with the field named, the form, the field, the signature. Nothing in it is free
but names, time and signature, so that a reader makes the revision again and compares the bytes.

- `prepared`: a revision with room for a signature; `filled`: with the signature in it
- `opened`: the revisions of a file, each held to its form; `Opened`, `Signed`
- `attached`: the bytes of an attached file
"""

from __future__ import annotations

import hashlib
import re
import zlib
from dataclasses import dataclass
from typing import NamedTuple

MOST_SIGNATURES = 2
_MOST_ATTACHED = 16_000_000
_TAIL = 700
_RANGE_WIDTH = 48
_END = b"%%EOF"

_TRAILER = re.compile(
    rb"trailer\n<</Size (\d{1,7})/Root (\d{1,7}) 0 R/Info (\d{1,7}) 0 R/ID\[(\([^()\\]{1,60}\))"
    rb"(?:\([^()\\]{1,60}\)|<[0-9a-f]{32}>)\](?:/Prev (\d{1,9}))?>>\n"
    rb"startxref\n(\d{1,9})\n%%EOF\n?\Z"
)
_SIGNATURE = re.compile(
    rb"(\d{1,7}) 0 obj\n<</Type/Sig/Filter/Adobe\.PPKLite/SubFilter/ETSI\.CAdES\.detached"
    rb"/M\(D:(\d{14})Z\)/Name<feff((?:[0-9a-f]{4}){0,200})>"
    rb"/ByteRange\[0 (\d{1,9}) (\d{1,9}) (\d{1,9})\] *"
    rb"/Contents<([0-9a-f]{2,100000})>>>\nendobj\n"
)


class NotInForm(ValueError):
    """The file is not in the one form of a certificate; says what is amiss."""


class Signed(NamedTuple):
    """One signature as it stands in the file.

    at: as 20261218093000; end: of its revision; begin, after: what the signature leaves out.
    """

    name: str
    at: str
    begin: int
    after: int
    end: int
    contents: bytes

    def digest(self, raw: bytes) -> bytes:
        """SHA-256 of all that it signs."""
        made = hashlib.sha256(memoryview(raw)[: self.begin])
        made.update(memoryview(raw)[self.after : self.end])
        return made.digest()


class Opened(NamedTuple):
    """The page as it was set, and the signatures in their order."""

    page: bytes
    signatures: tuple[Signed, ...]


@dataclass(frozen=True)
class _Ending:
    """What the end of a revision says."""

    size: int
    root: int
    info: int
    first_id: bytes
    before: int | None
    table: int


def prepared(before: bytes, name: str, at: str, room: int) -> bytes:
    """The file with one more revision; the signature's place holds ``room`` zero digits.

    name: who signs; at: when, as 20261218093000 (UTC). Raises `NotInForm`.
    """
    ending = _ending(before)
    number = 1 if ending.before is None else 1 + _count(before)
    if number > MOST_SIGNATURES:
        raise NotInForm(f"carries {MOST_SIGNATURES} signatures already")
    catalogue = _object(before, ending, ending.root)
    page_number = _first_page(before, ending, catalogue)
    page = _object(before, ending, page_number)
    objects: dict[int, bytes] = {}
    if ending.before is None:
        form, field = ending.size, ending.size + 1
        fields = b"%d 0 R" % field
        objects[ending.root] = _with(
            catalogue, b"/AcroForm %d 0 R/Extensions<</ESIC<</BaseVersion/1.7/ExtensionLevel 1>>>>"
            % form, b"/AcroForm"
        )  # fmt: skip
        objects[page_number] = _with(page, b"/Annots[%s]" % fields, b"/Annots")
    else:
        form = _referred(catalogue, rb"/AcroForm (\d+) 0 R")
        field = ending.size
        kept = re.search(rb"/Annots\[([0-9R ]+)\]>>\Z", page)
        if kept is None:
            raise NotInForm("has a page that is not in the form of a signed one")
        fields = kept[1] + b" %d 0 R" % field
        objects[page_number] = page[: kept.start(1)] + fields + b"]>>"
    objects[form] = b"<</Fields[%s]/SigFlags 3>>" % fields
    objects[field] = (
        b"<</Type/Annot/Subtype/Widget/FT/Sig/T(Signature%d)/F 132/Rect[0 0 0 0]"
        b"/P %d 0 R/V %d 0 R>>" % (number, page_number, field + 1)
    )
    return _written(before, ending, objects, field + 1, (name, at, room))


def filled(prepared_file: bytes, signed: Signed, signature: bytes) -> bytes:
    """The file with the signature's bytes in their place, the rest of the room zero."""
    room = signed.after - signed.begin - 2
    digits = signature.hex().encode()
    if len(digits) > room:
        raise NotInForm("has too little room for the signature")
    place = b"<" + digits.ljust(room, b"0") + b">"
    return prepared_file[: signed.begin] + place + prepared_file[signed.after :]


def opened(raw: bytes) -> Opened:
    """Take a file apart; every revision behind the page must be what `prepared` makes.

    Raises `NotInForm`.
    """
    if not raw.startswith(b"%PDF-1.7\n"):
        raise NotInForm("does not begin as a certificate does")
    end, found = len(raw), list[Signed]()
    while True:
        ending = _ending(raw, end)
        if ending.before is None:
            if not raw.endswith(_END, 0, end):
                raise NotInForm("has something after the last end mark of the page")
            break
        if len(found) == MOST_SIGNATURES:
            raise NotInForm(f"carries more than {MOST_SIGNATURES} revisions")
        found.append(_signature(raw, end, ending))
        end = _end_before(raw, ending.before, end)
    begins = [*(one.end for one in found[1:]), end]
    for index, one in enumerate(found):
        _compare(raw, one, begins[index])
    return Opened(raw[:end], tuple(reversed(found)))


def attached(page: bytes, name: str) -> bytes:
    """The bytes of a file that is attached to the page. Raises `NotInForm`."""
    ending = _ending(page)
    catalogue = _object(page, ending, ending.root)
    spec = _referred(catalogue, rb"/EmbeddedFiles<</Names\[[^\]]*\(%s\)(\d+) 0 R" % name.encode())
    stream = _referred(_object(page, ending, spec), rb"/EF<</F (\d+) 0 R")
    place = _place(page, ending, stream)
    head = re.compile(rb"%d 0 obj\n<</Length (\d{1,9})(/[^\n]{0,400})>>\nstream\n" % stream)
    found = head.match(page, place)
    if found is None:
        raise NotInForm(f"has no file {name} in it")
    held = page[found.end() : found.end() + int(found[1])]
    if b"/Filter/FlateDecode" not in found[2]:
        return held
    try:
        unpacking = zlib.decompressobj()
        made = unpacking.decompress(held, _MOST_ATTACHED)
    except zlib.error:
        raise NotInForm(f"has a file {name} that cannot be unpacked") from None
    if not unpacking.eof or unpacking.unused_data:
        raise NotInForm(f"has a file {name} that is too large or cut off")
    return made


def _written(
    before: bytes, ending: _Ending, objects: dict[int, bytes], last: int,
    said: tuple[str, str, int],
) -> bytes:  # fmt: skip
    name, at, room = said
    body, places = b"\n" if before.endswith(_END) else b"", dict[int, int]()
    for number in sorted(objects):
        places[number] = len(before) + len(body)
        body += b"%d 0 obj\n%s\nendobj\n" % (number, objects[number])
    places[last] = len(before) + len(body)
    written_name = name.encode("utf-16-be").hex().encode()
    head = (
        b"%d 0 obj\n<</Type/Sig/Filter/Adobe.PPKLite/SubFilter/ETSI.CAdES.detached/M(D:%sZ)"
        b"/Name<feff%s>" % (last, at.encode(), written_name)
    )
    begin = len(before) + len(body) + len(head) + _RANGE_WIDTH + len(b"/Contents")
    after = begin + room + 2
    table = after + len(b">>\nendobj\n")
    entries = b"".join(b"%d 1\n%010d 00000 n \n" % (number, places[number]) for number in places)
    second = hashlib.sha256(b"%d %s %s" % (len(before), at.encode(), written_name)).hexdigest()[:32]
    tail = b">>\nendobj\nxref\n%strailer\n<</Size %d/Root %d 0 R/Info %d 0 R" % (
        entries, last + 1, ending.root, ending.info
    )  # fmt: skip
    tail += b"/ID[%s<%s>]/Prev %d>>\nstartxref\n%d\n%s\n" % (
        ending.first_id, second.encode(), ending.table, table, _END
    )  # fmt: skip
    covered = b"/ByteRange[0 %d %d %d]" % (begin, after, len(tail))
    place = covered.ljust(_RANGE_WIDTH) + b"/Contents<" + b"0" * room + b">"
    return before + body + head + place + tail


def _signature(raw: bytes, end: int, ending: _Ending) -> Signed:
    """The signature of the last revision before ``end``."""
    first = re.compile(rb"xref\n(?:\d{1,7} 1\n\d{10} 00000 n \n){1,6}trailer\n").match(
        raw, ending.table, end
    )
    if first is None:
        raise NotInForm("has a table of places that is not in form")
    place = int(raw[first.end() - len("0000000000 00000 n \ntrailer\n") :][:10])
    found = _SIGNATURE.match(raw, place, end)
    if found is None or found.end() != ending.table:
        raise NotInForm("has a revision that is not that of a signature")
    name = bytes.fromhex(found[3].decode()).decode("utf-16-be", "replace")
    begin, after = found.start(7) - 1, found.end(7) + 1
    if [int(found[part]) for part in (4, 5, 6)] != [begin, after, end - after]:
        raise NotInForm("has a signature that does not cover the whole file but itself")
    return Signed(name, found[2].decode(), begin, after, end, found[7])


def _compare(raw: bytes, one: Signed, before: int) -> None:
    """Raise unless the revision is byte for byte what `prepared` makes."""
    made = prepared(raw[:before], one.name, one.at, len(one.contents))
    same = made[: one.begin] == raw[: one.begin] and made[one.after :] == raw[one.after : one.end]
    if not same:
        raise NotInForm("has a revision that holds more, or other things, than a signature needs")


def _ending(raw: bytes, end: int | None = None) -> _Ending:
    end = len(raw) if end is None else end
    tail = raw[max(end - _TAIL, 0) : end]
    found = _TRAILER.search(tail)
    if found is None:
        raise NotInForm("does not end as a certificate does")
    before = None if found[5] is None else int(found[5])
    return _Ending(
        int(found[1]), int(found[2]), int(found[3]), found[4], before, int(found[6])
    )  # fmt: skip


def _end_before(raw: bytes, table: int, end: int) -> int:
    """Where the revision ends whose table of places stands at ``table``."""
    mark = raw.find(_END, table, end)
    if mark < 0:
        raise NotInForm("has a revision without end mark")
    mark += len(_END)
    # behind a signature's revision stands a line end, behind the page none
    return mark + 1 if b"/Prev " in raw[table:mark] else mark


def _count(raw: bytes) -> int:
    """The signatures that a file carries."""
    count, end, ending = 0, len(raw), _ending(raw)
    while ending.before is not None and count <= MOST_SIGNATURES:
        count += 1
        end = _end_before(raw, ending.before, end)
        ending = _ending(raw, end)
    return count


def _object(raw: bytes, ending: _Ending, number: int) -> bytes:
    """The text of a plain object, without its frame."""
    place = _place(raw, ending, number)
    head = b"%d 0 obj\n" % number
    if not raw.startswith(head, place):
        raise NotInForm(f"has no object {number} where its table says")
    end = raw.find(b"\nendobj\n", place)
    if end < 0:
        raise NotInForm(f"has an object {number} without end")
    return raw[place + len(head) : end]


def _place(raw: bytes, ending: _Ending, number: int) -> int:
    """Where an object stands, by the newest table that names it."""
    table, before = ending.table, ending.before
    for _ in range(MOST_SIGNATURES + 1):
        if before is None:
            begin = raw.find(b"\n", table + len(b"xref\n")) + 1
            entry = raw[begin + 20 * number : begin + 20 * number + 20]
        else:
            listed = raw.find(b"\n%d 1\n" % number, table, raw.find(b"trailer", table))
            begin = listed + len(b"\n%d 1\n" % number)
            entry = raw[begin : begin + 20] if listed >= 0 else b""
        if entry[:10].isdigit() and entry[10:18] == b" 00000 n":
            return int(entry[:10])
        if before is None:
            break
        ending = _ending(raw, _end_before(raw, before, len(raw)))
        table, before = ending.table, ending.before
    raise NotInForm(f"has no object {number}")


def _first_page(raw: bytes, ending: _Ending, catalogue: bytes) -> int:
    pages = _object(raw, ending, _referred(catalogue, rb"/Pages (\d+) 0 R"))
    return _referred(pages, rb"/Kids\[(\d+) 0 R")


def _referred(text: bytes, pattern: bytes) -> int:
    found = re.search(pattern, text)
    if found is None:
        raise NotInForm("lacks a part that every certificate has")
    return int(found[1])


def _with(text: bytes, more: bytes, without: bytes) -> bytes:
    """A dictionary with more at its end."""
    if not (text.startswith(b"<<") and text.endswith(b">>")) or without in text:
        raise NotInForm("has an object that is not as it was set")
    return text[:-2] + more + b">>"
