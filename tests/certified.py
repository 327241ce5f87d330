"""Certificates for tests: the invented example of the repository, and keys that live for a run."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from cryptography import x509

from linkwright.documents.certificates.content import (
    PURCHASER,
    Certificate,
    Element,
    Heat,
    Validator,
)
from linkwright.documents.certificates.keys import Key, certificates_of, key_of, make_key
from linkwright.documents.certificates.paper import paper
from linkwright.documents.certificates.proof import room_for, signature_over
from linkwright.documents.certificates.reading import certificate_of_json
from linkwright.documents.certificates.revision import filled, opened, prepared

PHRASE = "a phrase for tests only"
BEGUN = datetime(2026, 1, 1, tzinfo=UTC)
SIGNED = datetime(2026, 12, 18, 9, 45, tzinfo=UTC)
EXAMPLE = Path(__file__).parents[1] / "examples" / "certificate.json"


@cache
def example() -> Certificate:
    """The example: lifting chain, 3.1."""
    return certificate_of_json(EXAMPLE.read_bytes(), "example")


@cache
def small() -> Certificate:
    """A short declaration 2.1 of chain that is not for lifting."""
    one = example()
    goods = replace(
        one.goods, product="jack chain", standard="works standard 12", grade="", lifting=False,
        working_load_limit_t=None, heats=(Heat("H-1", "", "", (Element("C", 0.08),)),),
    )  # fmt: skip
    return replace(
        one, type="2.1", goods=goods, requirements=(), declaration=None, technical_file=(),
        number="QL-2026-0500", remarks=(),
    )  # fmt: skip


@cache
def two_signed() -> Certificate:
    """The example as a 3.2."""
    one = example()
    other = Validator("B. Visitor (invented)", "purchaser's representative", PURCHASER)
    return replace(one, type="3.2", number="QL-2026-0418", validators=(*one.validators, other))


@cache
def authority() -> tuple[Key, tuple[x509.Certificate, ...]]:
    """A small authority of the works."""
    packed, pem = make_key("Quarry Lane works, keys", PHRASE, BEGUN, authority=True)
    return key_of(packed, PHRASE, "authority"), certificates_of(pem, "authority")


@cache
def inspector(kind: str = "ecdsa") -> Key:
    """A key that the authority vouches for."""
    packed, _ = make_key("inspection", PHRASE, BEGUN, issuer=authority()[0], kind=kind)
    return key_of(packed, PHRASE, "inspector")


@cache
def stranger() -> tuple[Key, tuple[x509.Certificate, ...]]:
    """A key that stands for itself."""
    packed, pem = make_key("visitor", PHRASE, BEGUN)
    return key_of(packed, PHRASE, "stranger"), certificates_of(pem, "stranger")


def signed(raw: bytes, name: str, key: Key, at: str = "20261218094500") -> bytes:
    """A file with one more signature, by whomever."""
    made = prepared(raw, name, at, room_for(key))
    place = opened(made).signatures[-1]
    return filled(made, place, signature_over(place.digest(made), key))


@cache
def small_file() -> bytes:
    """The declaration, signed."""
    return signed(paper(small()), small().validators[0].name, inspector())


@cache
def example_file() -> bytes:
    """The example, signed."""
    return signed(paper(example()), example().validators[0].name, inspector())


def drawing(seed: int) -> random.Random:
    """Repeatable chance."""
    return random.Random(seed)


def changed(raw: bytes, at: int, bit: int) -> bytes:
    """The file with one bit flipped."""
    held = bytearray(raw)
    held[at] ^= 1 << bit
    return bytes(held)


def edited(data: Any, place: str, value: Any) -> Any:
    """Plain data with another value at a place such as ``release.state`` or ``pieces.0.marks``."""
    head, _, rest = place.partition(".")
    if isinstance(data, list):
        index = int(head)
        inner = edited(data[index], rest, value) if rest else value
        return [*data[:index], inner, *data[index + 1 :]]
    return {**data, head: edited(data[head], rest, value) if rest else value}
