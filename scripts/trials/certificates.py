"""Trial: every flipped bit of a certificate and of a list is found; malformed files end well.

The certificate is a short declaration signed by a key under a small authority, so that the file
holds a chain of certificates too. Each bit of the file is flipped by itself, or a number of them
drawn by chance. Malformed files are cut, doubled, overwritten, of another kind, or signed anew by
somebody, so that the inner parts are read as well; a part goes through the command itself.
"""

from __future__ import annotations

import json
import random
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from measured import Figure

from linkwright.documents.certificates.content import Certificate, plain
from linkwright.documents.certificates.keys import Key, certificates_of, key_of, make_key
from linkwright.documents.certificates.paper import paper
from linkwright.documents.certificates.proof import NotWhole, room_for, signature_over
from linkwright.documents.certificates.reading import certificate_of_json
from linkwright.documents.certificates.revision import NotInForm, filled, opened, prepared
from linkwright.documents.certificates.verifying import NoCertificate, verified
from linkwright.documents.certificates.withdrawals import (
    WITHDRAWN,
    Withdrawal,
    WithdrawalList,
    published,
    read_list,
)
from linkwright.quantities import InputErrors
from trials import ROOT
from trials.outcome import Counts, Outcome, command

_PHRASE = "a phrase for trials only"
_AT = datetime(2026, 12, 1, tzinfo=UTC)
_LONGEST_S = 2.0
_LONGEST_FLIP_MS = 5.0
_SEED = 20261218


def run(counts: Counts, folder: Path) -> Outcome:
    """Flips of a certificate and of a list, malformed files in this process and by the command."""
    key, trust = _key()
    one = _short()
    page = paper(one)
    raw = _signed(page, one.validators[0].name, key)
    if not verified(raw, anchors=trust).good:
        raise RuntimeError("the certificate that the trial starts from is not good")
    missed, tried, seconds = _flipped(raw, counts.flips, lambda file: _passes(file, trust))
    listed = published(_list(one), key)
    missed_list, tried_list, _ = _flipped(listed, counts.flips, _reads)
    ended, longest = _malformed(raw, page, (one, key), counts.malformed)
    codes, bad = _commanded(raw, counts.commands, folder)
    bits = f"of {8 * len(raw)} in {len(raw)} bytes"
    return Outcome((
        Figure("bits of a certificate flipped, one by one", tried, remark=bits),
        Figure("of these not found", missed, greatest=0),
        Figure("time of one", 1000 * seconds / tried, "ms", greatest=_LONGEST_FLIP_MS),
        Figure("bits of a list of withdrawals flipped, one by one", tried_list,
               remark=f"of {8 * len(listed)}"),
        Figure("of these not found", missed_list, greatest=0),
        Figure("malformed certificates and lists", ended.total(), least=counts.malformed,
               remark=", ".join(f"{said}: {count}" for said, count in sorted(ended.items()))),
        Figure("of these with an error that is no sentence", ended["unexpected"], greatest=0),
        Figure("of these taken for good though changed", ended["taken"], greatest=0),
        Figure("longest time of one", longest, "s", greatest=_LONGEST_S),
        Figure("malformed certificates through the command", codes.total(),
               remark=", ".join(f"exit code {code}: {codes[code]}" for code in sorted(codes))),
        Figure("of these with a traceback, an incident or another exit code", bad, greatest=0),
    ))  # fmt: skip


def _key() -> tuple[Key, tuple[x509.Certificate, ...]]:
    packed, pem = make_key("trial, keys", _PHRASE, _AT, authority=True)
    above = key_of(packed, _PHRASE, "authority")
    packed, _ = make_key("trial, inspection", _PHRASE, _AT, issuer=above)
    return key_of(packed, _PHRASE, "inspection"), certificates_of(pem, "authority")


def _short() -> Certificate:
    """The example of the repository as a declaration 2.1 of chain that is not for lifting."""
    raw = (ROOT / "examples" / "certificate.json").read_bytes()
    one = certificate_of_json(raw, "certificate.json")
    goods = replace(one.goods, lifting=False, heats=(), working_load_limit_t=None)
    return replace(one, type="2.1", requirements=(), declaration=None, technical_file=(),
                   goods=goods)  # fmt: skip


def _list(one: Certificate) -> WithdrawalList:
    entry = Withdrawal(one.number, "ab" * 32, WITHDRAWN, "trial", "2026-12-19T10:00:00Z")
    return WithdrawalList("trial", 1, "2026-12-20T10:00:00Z", "2027-01-20T10:00:00Z", (entry,))


def _signed(page: bytes, name: str, key: Key) -> bytes:
    made = prepared(page, name, "20261218094500", room_for(key))
    place = opened(made).signatures[-1]
    return filled(made, place, signature_over(place.digest(made), key))


def _flipped(raw: bytes, most: int, passes: Callable[[bytes], bool]) -> tuple[int, int, float]:
    """How many flipped bits pass, how many were tried, and the seconds that it took."""
    held, missed, tried, begun = bytearray(raw), 0, 0, time.perf_counter()
    for at in _bits(8 * len(raw), most):
        held[at // 8] ^= 1 << at % 8
        missed += passes(bytes(held))
        held[at // 8] ^= 1 << at % 8
        tried += 1
    return missed, tried, time.perf_counter() - begun


def _bits(count: int, most: int) -> Iterator[int]:
    if not most or most >= count:
        yield from range(count)
    else:
        yield from random.Random(_SEED).sample(range(count), most)  # noqa: S311 - no secret


def _passes(file: bytes, trust: tuple[x509.Certificate, ...]) -> bool:
    try:
        return verified(file, anchors=trust, page=False).signature.state != "bad"
    except NoCertificate:
        return False


def _reads(file: bytes) -> bool:
    try:
        read_list(file, "list")
    except (NotWhole, InputErrors):
        return False
    return True


def _malformed(
    raw: bytes, page: bytes, by: tuple[Certificate, Key], count: int
) -> tuple[Counter[str], float]:
    """How malformed files end, and the longest time of one."""
    drawn, ended, longest = random.Random(_SEED), Counter[str](), 0.0  # noqa: S311 - no secret
    one, key = by
    listed = published(_list(one), key)
    for index in range(count):
        kind = index % 5
        base = (raw, raw, raw, page, listed)[kind]
        file = _damaged(base, drawn)
        if kind == 3:
            try:
                file = _signed(file, one.validators[0].name, key)
            except NotInForm:
                ended["refused"] += 1
                continue
        begun = time.perf_counter()
        # what is signed anew stands or falls with its page: no claim is made of it here
        ended[_end_of(file, changed=file != base and kind != 3, is_list=kind == 4)] += 1
        longest = max(longest, time.perf_counter() - begun)
    return ended, longest


def _end_of(file: bytes, *, changed: bool, is_list: bool) -> str:
    try:
        good = _reads(file) if is_list else verified(file, page=False).signature.state != "bad"
    except InputErrors as error:
        return "refused" if all(p.sentence().isprintable() for p in error.found) else "unexpected"
    except Exception:
        return "unexpected"
    return "taken" if good and changed else "told"


def _damaged(base: bytes, drawn: random.Random) -> bytes:
    raw = base
    for _ in range(drawn.choice([1, 1, 1, 2, 5])):
        a, b = sorted(drawn.randrange(len(raw) + 1) for _ in range(2))
        put = drawn.choice([
            b"", b"\0" * 9, b"/Prev 0", b"obj", b"endobj\n", b"%%EOF\n", b"9" * 30, b"<<" * 500,
            raw[a:b], drawn.randbytes(20), b"/Length 999999999", b"trailer\n<<", b"[" * 400,
        ])  # fmt: skip
        end = drawn.choice([a, a + len(put), a + 1, b])
        raw = raw[:a] + put + raw[end:]
        if drawn.random() < 0.05 or not raw:
            return raw[: drawn.randrange(200)]
    return raw


def _commanded(raw: bytes, count: int, folder: Path) -> tuple[Counter[int], int]:
    """Malformed files through `linkwright verify`: exit codes, and what stands on stderr."""
    drawn, codes, bad = random.Random(_SEED + 1), Counter[int](), 0  # noqa: S311 - no secret
    records = json.dumps({"number": 1, **{key: [] for key in plain(_short())}})
    (folder / "records.json").write_text(records, encoding="utf-8")
    for _ in range(count):
        (folder / "damaged.pdf").write_bytes(_damaged(raw, drawn))
        ended = command(["verify", "damaged.pdf", "--records", "records.json"], folder)
        codes[ended.returncode] += 1
        told = ended.stderr
        bad += ended.returncode not in (1, 2) or b"Traceback" in told or b"incident" in told
    return codes, bad
