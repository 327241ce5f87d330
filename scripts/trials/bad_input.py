"""Trial: damaged files and strangely written numbers end in sentences, never in a traceback.

Order files and works files are damaged by generated edits and read in this process; a part
of them goes through the command itself. Written numbers are generated too: what the grammar
takes must be the number that was meant. Each part ends at its time limit, and says so.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from measured import Figure

from linkwright.quantities import InputErrors, QuantityError
from linkwright.quantities.number import number_and_unit
from linkwright.quantities.units import UNITS
from linkwright.works import demo_bytes, demo_line_bytes, order_of_bytes, works_of_bytes
from trials.outcome import Counts, Outcome, command

_HEAD = b'[order]\nnumber = "Q-7"\ncustomer = "Invented"\ndue = 2026-12-18\n\n[[line]]\n'
_ORDERS = (
    demo_line_bytes(),
    _HEAD + b'working_load = "12.5 t"\nlegs = 2\nlength = "60 m"\n',
    _HEAD + b'[line.drive]\npower = "30 kW"\ndriver_speed = "96 rpm"\ndriven_speed = "16 rpm"\n'
    b'shock = "moderate shocks"\n',
    demo_line_bytes() + b"[line.settings]\ntempering.temperature_degC = 510\n",
)
_PIECES = st.sampled_from(
    [b"nan", b"-1", b"[", b"]", b'"', b"=", b"8 mm", b"inf", b"1e400", b"0", b"-0.0", b"{", b"}",
     b"\n[[line]]\n", b"\n[order]\n", b"8,5", b"9" * 400, b"\xff", b"\xe2\x80\xae", b"'''", b"\\u",
     b"1_000", b"\r", b"\0", b"true", b"0001-01-01", b"a.b.c=1\n", b"5/0 in", b"1 1/4 in",
     b'"10 mm"', b'"0.5 in"', b'"200 m"', b"8", b"12.5", b'"x"', b"[8.0]", b'"EN 818-2"',
     b'"welded"', b"2027-01-31"]
)  # fmt: skip
_EDITS = st.lists(
    st.tuples(
        st.floats(0.0, 1.0), st.integers(0, 80), st.one_of(_PIECES, st.binary(max_size=8)),
        st.sampled_from(["over", "twice", "value"]),
    ),
    min_size=1, max_size=4,
)  # fmt: skip
LONGEST_S = 2.0


class Tally:
    """What became of the examples: counts, unexpected errors, longest time, some kept."""

    def __init__(self, seconds: float) -> None:
        self.counts: Counter[str] = Counter()
        self.unexpected: list[str] = []
        self.longest = 0.0
        self.last = ""
        self.kept: dict[str, list[bytes]] = {"read": [], "refused": []}
        self.end = time.monotonic() + seconds

    def note(self, read: Callable[[bytes], object], raw: bytes) -> None:
        """Read one damaged file and note how it ended."""
        begun = time.perf_counter()
        try:
            read(raw)
            ended = "read"
        except InputErrors as error:
            plain = error.exit_code == 2 and all(p.sentence().isprintable() for p in error.found)
            ended = "refused" if plain else "refused in another way"
        except Exception as error:
            ended = "unexpected"
            self.unexpected.append(f"{type(error).__name__}: {error}"[:200])
        self.longest = max(self.longest, time.perf_counter() - begun)
        self.counts[ended] += 1
        self.last = ended

    @property
    def total(self) -> int:
        """Examples tried."""
        return self.counts.total()


def run(counts: Counts, folder: Path) -> Outcome:
    """Order files, works files, the command itself, and the number grammar."""
    orders = _damaged(_ORDERS, order_of_bytes, counts.orders, counts.seconds, counts.commands)
    works = _damaged((demo_bytes("works.toml"),), works_of_bytes, counts.works, counts.seconds, 0)
    through = _commanded([*orders.kept["read"], *orders.kept["refused"]], folder)
    numbers, wrong = _numbers(counts.numbers, counts.seconds)
    figures = (
        *_told("order files", orders, counts.orders),
        *_told("works files", works, counts.works),
        *through,
        Figure("written numbers tried", numbers.total, least=counts.numbers),
        Figure("written numbers taken", numbers.counts["read"]),
        Figure("written numbers: errors of another kind", len(numbers.unexpected), greatest=0),
        Figure("written numbers taken for another number", len(wrong), greatest=0),
    )
    told = [*orders.unexpected, *works.unexpected, *numbers.unexpected, *wrong]
    return Outcome(figures, remarks=tuple(dict.fromkeys(told))[:10])


def _profile(examples: int) -> Callable[[Any], Any]:
    """The long profile: every example generated, none kept, the same at every run."""
    return settings(
        max_examples=examples, derandomize=True, deadline=None, database=None,
        phases=[Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip


def _damaged(
    bases: tuple[bytes, ...], read: Callable[[bytes], object], examples: int, seconds: float,
    keep: int,
) -> Tally:  # fmt: skip
    tally = Tally(seconds)
    every = max(examples // max(keep, 1), 1)

    @_profile(examples)
    @given(st.sampled_from(bases), _EDITS)
    def damage(base: bytes, edits: list[tuple[float, int, bytes, str]]) -> None:
        if time.monotonic() > tally.end:
            return
        raw = base
        for edit in edits:
            raw = _edited(raw, *edit)
        tally.note(read, raw)
        kept = tally.kept.get(tally.last, [])
        # what can still be read is rare, so all of it is kept until there is enough
        if len(kept) < keep // 2 and (tally.last == "read" or tally.total % every == 0):
            kept.append(raw)

    damage()
    return tally


def _edited(raw: bytes, share: float, length: int, put: bytes, kind: str) -> bytes:
    """Overwrite or repeat a part of the file, or give the next key another value."""
    start = int(share * len(raw))
    if kind == "value":
        start = raw.find(b"=", start) + 1
        end = raw.find(b"\n", start)
        return raw[:start] + b" " + put + raw[end if end >= 0 else len(raw) :]
    cut = raw[start : start + length]
    return raw[:start] + (cut + cut if kind == "twice" else b"") + put + raw[start + length :]


def _told(what: str, tally: Tally, wanted: int) -> list[Figure]:
    # generated examples may repeat, and repeated ones are not run again
    return [
        Figure(f"damaged {what} read in this process", tally.total, least=wanted),
        Figure(f"damaged {what}: still readable", tally.counts["read"]),
        Figure(f"damaged {what}: refused with exit code 2", tally.counts["refused"]),
        Figure(f"damaged {what}: ended in any other way",
               tally.total - tally.counts["read"] - tally.counts["refused"], greatest=0),
        Figure(f"damaged {what}: longest time", tally.longest, "s", greatest=LONGEST_S),
    ]  # fmt: skip


def _commanded(files: list[bytes], folder: Path) -> list[Figure]:
    """Damaged orders through `linkwright plan`: exit codes, and what stands on stderr."""
    codes: Counter[int] = Counter()
    bad = 0
    for raw in files:
        (folder / "damaged.toml").write_bytes(raw)
        ended = command(["plan", "damaged.toml", "--lots", "32"], folder)
        codes[ended.returncode] += 1
        told = ended.stderr
        bad += ended.returncode not in (0, 1, 2) or b"Traceback" in told or b"incident" in told
    remark = ", ".join(f"exit code {code}: {codes[code]}" for code in sorted(codes))
    return [
        Figure("damaged orders through the command", len(files), remark=remark),
        Figure("of these with a traceback, an incident or another exit code", bad, greatest=0),
    ]


def _numbers(examples: int, seconds: float) -> tuple[Tally, list[str]]:
    """Texts as people might write them; what is taken is held against exact fractions."""
    tally, wrong = Tally(seconds), list[str]()
    digits = st.text("0123456789", min_size=1, max_size=12)
    decimal = st.builds("{}{}{}".format, digits, st.sampled_from(["", ".", ",", "_"]), digits)
    power = st.builds("{}e{}".format, decimal, st.integers(-400, 400))
    fraction = st.builds("{} {}/{}".format, digits, digits, digits)
    unit = st.sampled_from([*UNITS, "", '"', "°C", "N/mm²", "ton", "furlong", "mm mm"])
    written = st.builds(
        "{}{}{}{}".format, st.sampled_from(["", "+", "-", " ", "--"]),
        st.one_of(decimal, power, fraction, digits), st.sampled_from(["", " ", "  "]), unit,
    )  # fmt: skip

    @_profile(examples)
    @given(st.one_of(written, written, st.text(max_size=40)))
    def write(text: str) -> None:
        if time.monotonic() > tally.end:
            return
        try:
            value, suffix = number_and_unit(text)
        except QuantityError:
            tally.counts["refused"] += 1
            return
        except Exception as error:
            tally.counts["unexpected"] += 1
            tally.unexpected.append(f"{text!r}: {type(error).__name__}: {error}"[:200])
            return
        tally.counts["read"] += 1
        if not math.isfinite(value) or suffix not in {"", *UNITS} or not _meant(text, value):
            wrong.append(f"{text!r} taken for {value} {suffix}")

    write()
    return tally, wrong


def _meant(text: str, value: float) -> bool:
    """Whether the leading number of a text, summed as exact fractions, is this value."""
    plain = text.strip()
    for end in range(len(plain), 0, -1):
        try:
            parts = [Fraction(part) for part in plain[:end].split()]
        except (ValueError, ZeroDivisionError):
            continue
        if parts and plain[:end][-1].isdigit():
            sign = -1 if plain.startswith("-") else 1
            return float(sign * sum(abs(part) for part in parts)) == value
    return False
