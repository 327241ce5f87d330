"""Files of keys: written for their owner alone, and read only if nobody else can read them.

- `KeyRequest`, `make_key_file`: a new key beside its certificate
- `key_from`: the key of a file; `anchors_from`: the certificates of PEM files
"""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linkwright.documents.certificates.keys import (
    KINDS,
    Key,
    NoKey,
    certificates_of,
    key_of,
    make_key,
)
from linkwright.quantities import ArgumentError, InputErrors, Problem, UnknownName
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.written_file import refuse_existing, write_file

if TYPE_CHECKING:
    from cryptography import x509

_MOST_BYTES = 1_000_000
_LONGEST_YEARS = 30


@dataclass(frozen=True)
class KeyRequest:
    """A key to be made.

    issuer: file of the authority that vouches; authority: whether it is one itself; at: from when
    it may sign, else from now.
    """

    out: Path
    name: str
    pass_phrase: str
    organisation: str = ""
    kind: str = "ecdsa"
    years: int = 5
    issuer: Path | None = None
    issuer_pass_phrase: str = ""
    authority: bool = False
    force: bool = False
    at: datetime | None = None


@dataclass(frozen=True)
class KeyAnswer:
    """The files written: the key, and the certificate that others are given."""

    key: Path
    certificate: Path
    name: str

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {"schema_version": SCHEMA_VERSION, "name": self.name,
                "files": [str(self.key), str(self.certificate)]}  # fmt: skip


def make_key_file(request: KeyRequest) -> KeyAnswer:
    """Make a key. Raises `NoKey`, `FileInUse`, `ArgumentError`."""
    if request.kind not in KINDS:
        raise UnknownName("kind", request.kind, KINDS)
    if not 1 <= request.years <= _LONGEST_YEARS:
        raise ArgumentError("years", request.years, "", f"1 to {_LONGEST_YEARS}")
    if not request.name or not request.name.isprintable() or len(request.name) > 60:
        raise ArgumentError("name", request.name, "", "one line of 1 to 60 letters")
    beside = request.out.with_suffix(".pem")
    if beside == request.out:
        raise ArgumentError("out", str(request.out), "", "a name that ends with .p12")
    for path in (request.out, beside):
        refuse_existing(path, force=request.force)
    issuer = None
    if request.issuer is not None:
        issuer = key_from(request.issuer, request.issuer_pass_phrase)
    packed, pem = make_key(
        request.name, request.pass_phrase, request.at or datetime.now(UTC),
        organisation=request.organisation, kind=request.kind, years=request.years, issuer=issuer,
        authority=request.authority,
    )  # fmt: skip
    write_file(request.out, packed, private=True)
    return KeyAnswer(request.out, write_file(beside, pem), request.name)


def key_from(path: Path, pass_phrase: str) -> Key:
    """The key of a file. Raises `NoKey`, also for a file that others can read."""
    raw = read_bytes(path, _MOST_BYTES)
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        raise NoKey(f"{path}: others can read this key; chmod 600 takes that from them")
    return key_of(raw, pass_phrase, str(path))


def anchors_from(paths: Sequence[Path]) -> tuple[x509.Certificate, ...]:
    """The certificates of PEM files, each file at least one."""
    return tuple(
        one for path in paths for one in certificates_of(read_bytes(path, _MOST_BYTES), str(path))
    )


def read_bytes(path: Path, most: int) -> bytes:
    """A file of at most so many bytes. Raises `InputErrors` if it is none, or larger."""
    if not path.is_file():
        raise InputErrors([Problem("file", "is no file", str(path))])
    with path.open("rb") as held:
        raw = held.read(most + 1)
    if len(raw) > most:
        said = f"is larger than {most // 1_000_000} MB"
        raise InputErrors([Problem("too-large", said, str(path))])
    return raw
