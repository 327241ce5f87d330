"""The page of a certificate as PDF/A-3, with its data inside: the same data give the same bytes.

Offers `paper`, `form_of_page` and the names of the attached files.
"""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

from linkwright.documents.certificates.content import Certificate, fingerprint, plain
from linkwright.documents.certificates.marked import xml_of
from linkwright.documents.certificates.page import page_data
from linkwright.documents.certificates.rules import require, time_of
from linkwright.documents.typesetting import typeset
from linkwright.works.canonical import canonical_bytes

JSON_NAME, XML_NAME = "certificate.json", "certificate.xml"
STANDARD = "a-3a"
_SETS_THE_PAGE = (
    "documents/certificates", "documents/display.py", "documents/words.py",
    "documents/typesetting.py", "documents/typesetting_child.py",
    "documents/templates/certificate.typ", "documents/templates/marks.typ", "documents/fonts",
    "languages", "quantities", "standards/data/en10204.toml", "works/canonical.py",
)  # fmt: skip
_KINDS = {".py", ".typ", ".otf", ".toml", ".mo"}


def paper(certificate: Certificate) -> bytes:
    """The unsigned file. Raises what `require` and `typeset` raise."""
    require(certificate)
    at = time_of(certificate.issued_at)
    assert at is not None  # noqa: S101 - required above
    data = page_data(certificate, fingerprint(certificate))
    attached = {JSON_NAME: canonical_bytes(plain(certificate)), XML_NAME: xml_of(certificate)}
    content = {
        **data,
        "author": certificate.maker.name,
        "keywords": [f"sha256:{fingerprint(certificate)}", form_of_page()],
        "attached": {name: raw.decode() for name, raw in attached.items()},
    }
    return typeset(content, template="certificate.typ", at_s=int(at.timestamp()), standard=STANDARD)


@cache
def form_of_page() -> str:
    """Which program set the page: its version, the typesetter's, and a digest of its files."""
    digest = hashlib.sha256()
    root = Path(str(files("linkwright")))
    for name in _SETS_THE_PAGE:
        place = root / name
        for path in sorted(place.rglob("*")) if place.is_dir() else [place]:
            if path.suffix in _KINDS:
                digest.update(f"{path.relative_to(root).as_posix()}\n".encode())
                digest.update(hashlib.sha256(path.read_bytes()).digest())
    program = f"linkwright {version('linkwright')}, typst {version('typst')}"
    return f"{program}, {digest.hexdigest()[:16]}"
