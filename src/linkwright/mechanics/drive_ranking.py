"""All roller chain drives that could do a duty, ranked.

- `ranked_drives`: every rated chain with 1 to 6 strands and every small sprocket, in order
- `Ranking`, `Ranked`, `RefusedChain`: what comes out
- `one_drive`: one drive alone, each number by its calculation and so with its derivation

The criterion: a drive is admissible if no limit of `LIMITS` is used beyond 1. Those whose joints
last, at the middle of the band of wear rates, come before those that last at its best end only;
then the smaller `drive_cost` comes first, then the smaller pitch, fewer strands, fewer teeth.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import ValidityWarning, not_recording, solved
from linkwright.mechanics.drive_chain import drive_chain, rated_chains, stacked
from linkwright.mechanics.drive_evaluation import (
    LIMITS,
    LOADS,
    LUBRICATIONS,
    MOST_TEETH,
    DriveDuty,
    Evaluated,
    drive_speeds_of,
    evaluated,
    strand_ratings,
)
from linkwright.mechanics.drive_sums import sprocket_teeth
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.roller_rating import iso10823_rating

STRANDS = (1, 2, 3, 4, 5, 6)
STANDARD_STRANDS = 3
"""More strands are by agreement."""
LEAST_TEETH, GREATEST_SMALL = 11.0, 150.0
_POSITIVE = (
    "power_kW", "driver_speed_rpm", "driven_speed_rpm", "ratio", "centre_distance_mm",
    "hours_per_day", "life_h", "greatest_sprocket_diameter_mm", "greatest_width_mm",
    "wear_factor",
)  # fmt: skip
_AT_LIMIT = 1.0 + 1e-9


@dataclass(frozen=True)
class Ranked:
    """One drive of the ranking; ``numbers`` are the scalars of `Evaluated`.

    lasting: whether its joints last at the middle of the band of wear rates. limited_by: what is
    used most and ``used`` how far: of an admissible drive one of its loads, wear at the middle of
    the band; of a refused one what refuses it.
    """

    chain_number: str
    strands: int
    teeth_small: int
    teeth_large: int
    pitches: int
    lasting: bool
    limited_by: str
    used: float
    numbers: Evaluated


@dataclass(frozen=True)
class RefusedChain:
    """A chain none of whose drives is admissible: the nearest of them, and what refuses it."""

    nearest: Ranked

    @property
    def chain_number(self) -> str:
        """The chain without its strands."""
        return self.nearest.chain_number


@dataclass(frozen=True)
class Ranking:
    """rows: the best drive of each chain and number of strands, best first.

    admissible, candidates: how many drives are, of how many. refused: the chains of which none
    is, nearest first.
    """

    rows: tuple[Ranked, ...]
    refused: tuple[RefusedChain, ...]
    admissible: int
    candidates: int


class Candidates(NamedTuple):
    """Every drive as arrays of the axes chain, strands, teeth."""

    chains: tuple[str, ...]
    numbers: Evaluated
    shares: np.ndarray
    """How far each of `LIMITS` is used, along a further first axis."""
    used: np.ndarray
    """The greatest of them."""
    wear: np.ndarray
    """Life wanted over life at the middle of the band."""


def ranked_drives(duty: DriveDuty) -> Ranking:
    """Rank all drives for a duty.

    Raises `ArgumentError` for a duty that cannot be, `UnknownName` for a word it does not know.
    """
    found = candidates(duty)
    ok = found.used <= _AT_LIMIT
    rows = _first_of_each(found, _order(found, ok))
    refused = _nearest(found, np.flatnonzero(~ok.any(axis=(1, 2))))
    return Ranking(tuple(rows), tuple(refused), int(ok.sum()), ok.size)


def candidates(duty: DriveDuty) -> Candidates:
    """All drives and the use of their limits, admissible or not."""
    check_duty(duty)
    with not_recording(), warnings.catch_warnings():
        # ranges are told of what was chosen, not of thousands that were tried
        warnings.simplefilter("ignore", ValidityWarning)
        # a small chain under a huge pull galls at any speed: its limit is used without end
        with np.errstate(over="ignore", divide="ignore"):
            return _tried(duty)


def _tried(duty: DriveDuty) -> Candidates:
    small, large = _teeth(duty)
    chains = rated_chains()
    strands = np.asarray(STRANDS, dtype=float)[None, :, None]
    ratings = strand_ratings(chains, small, drive_speeds_of(duty).speed_small_rpm)
    numbers = evaluated(duty, stacked(chains, STRANDS), strands, (small, large), ratings)
    shape = (len(chains), len(STRANDS), small.size)
    shares = np.stack([np.broadcast_to(numbers.used[name], shape) for name in LIMITS])
    middle = np.sqrt(numbers.least_wear_life_h * numbers.greatest_wear_life_h)
    wear = np.broadcast_to(duty.life_h / middle, shape)
    return Candidates(chains, numbers, shares, shares.max(axis=0), wear)


def one_drive(duty: DriveDuty, row: Ranked) -> Evaluated:
    """The numbers of one drive of the ranking again, each by its published calculation.

    Inside a recording each has its derivation.
    """
    why = "taken from the ranking of all drives by `ranked_drives`"
    strands = solved("strands", float(row.strands), why)
    small = solved("teeth_small", float(row.teeth_small), why)
    speeds = drive_speeds_of(duty)
    named = duty.teeth_large is not None
    large = (
        solved("teeth_large", float(row.teeth_large), "named by the duty")
        if named
        else sprocket_teeth(teeth_small=small, speed_ratio=speeds.speed_ratio)
    )
    rating = iso10823_rating(
        chain_number=row.chain_number, teeth_small=small, speed_rpm=speeds.speed_small_rpm
    )
    chain = drive_chain(row.chain_number, strands)
    ratings = (rating.plate_limited_power_kW, rating.roller_limited_power_kW)
    return evaluated(duty, chain, strands, (small, large), ratings)


def check_duty(duty: DriveDuty) -> None:
    """Raise for a duty that cannot be, with what is accepted."""
    for name in _POSITIVE:
        value = getattr(duty, name)
        if value is not None and not 0.0 < float(value) < float("inf"):
            raise ArgumentError(name, f"{float(value):g}", "", "a number greater than 0")
    if (duty.driven_speed_rpm is None) == (duty.ratio is None):
        shown = "neither" if duty.ratio is None else "both"
        raise ArgumentError("ratio", shown, "", "either the driven speed or the ratio")
    for name in ("teeth_small", "teeth_large"):
        value = getattr(duty, name)
        least = LEAST_TEETH
        if value is not None and (value != round(value) or not least <= value <= MOST_TEETH):
            raise ArgumentError(name, f"{value:g}", "", "a whole number from 11 to 150")
    if duty.lubrication is not None and duty.lubrication not in LUBRICATIONS:
        raise UnknownName("lubrication", duty.lubrication, LUBRICATIONS)


def _teeth(duty: DriveDuty) -> tuple[np.ndarray, np.ndarray]:
    """Small and large sprockets to be tried; raises where no pair has the ratio."""
    ratio = float(drive_speeds_of(duty).speed_ratio)
    small = np.arange(LEAST_TEETH, GREATEST_SMALL + 1.0)
    if duty.teeth_small is not None:
        small = np.asarray([float(duty.teeth_small)])
    large = np.asarray(sprocket_teeth(teeth_small=small, speed_ratio=ratio))
    if duty.teeth_large is not None:
        wanted = float(duty.teeth_large)
        if duty.teeth_small is not None:
            large = np.asarray([wanted])
        else:
            small, large = small[large == wanted], large[large == wanted]
    kept = (large <= MOST_TEETH) & (large >= small)
    small, large = small[kept], large[kept]
    if not small.size:
        raise _no_pair(duty, ratio)
    return small, large


def _no_pair(duty: DriveDuty, ratio: float) -> ArgumentError:
    """Why there are no sprockets: the ratio alone, or the teeth that the duty names."""
    if duty.teeth_small is None and duty.teeth_large is None:
        accepted = f"at most {MOST_TEETH / LEAST_TEETH:.4g} (11 and 150 teeth); more in two stages"
        return ArgumentError("ratio", f"{ratio:.4g}", "", accepted, "is too large for one drive")
    name = "teeth_large" if duty.teeth_large is not None else "teeth_small"
    accepted = "teeth of a pair from 11 to 150, the large sprocket not the smaller one"
    return ArgumentError(
        name, f"{getattr(duty, name):g}", "", accepted, f"has no partner for the ratio {ratio:.4g}"
    )


def _order(found: Candidates, ok: np.ndarray) -> np.ndarray:
    """Flat places of the admissible drives, best first."""
    places = np.flatnonzero(ok)
    cost = np.broadcast_to(found.numbers.cost_measure_kg, ok.shape).ravel()[places]
    lasting = found.wear.ravel()[places] <= _AT_LIMIT
    # places grow with pitch, strands and teeth, which decides between equals
    order: np.ndarray = places[np.lexsort((places, cost, ~lasting))]
    return order


def _first_of_each(found: Candidates, order: np.ndarray) -> list[Ranked]:
    """The best drive of each chain and number of strands."""
    teeth = found.used.shape[2]
    _, first = np.unique(order // teeth, return_index=True)
    return _rows(found, order[np.sort(first)], admissible=True)


def _nearest(found: Candidates, refused: np.ndarray) -> list[RefusedChain]:
    """Of each chain the drive that misses by the least; the least of these first."""
    each = found.used[0].size
    places = found.used[refused].reshape(-1, each).argmin(axis=1) + refused * each
    rows = _rows(found, places, admissible=False)
    rows.sort(key=lambda one: (one.used, one.numbers.cost_measure_kg))
    return [RefusedChain(one) for one in rows]


def _rows(found: Candidates, places: np.ndarray, *, admissible: bool) -> list[Ranked]:
    """The drives at flat places of the candidates."""
    shape = found.used.shape
    at = np.unravel_index(places, shape)

    def of(values: Any) -> list[float]:
        return np.broadcast_to(values, shape)[at].tolist()  # type: ignore[no-any-return]

    names = [field.name for field in fields(Evaluated) if field.name != "used"]
    numbers = zip(*(of(getattr(found.numbers, name)) for name in names), strict=True)
    shares = np.stack([found.shares[index][at] for index in range(len(LIMITS))])
    wear = found.wear[at]
    judged = shares.copy()
    if admissible:
        judged[LIMITS.index("wear")] = wear
        judged = judged[: len(LOADS)]
    return [
        _row(
            found.chains[chain],
            Evaluated(
                **dict(zip(names, row, strict=True)),
                used=dict(zip(LIMITS, shares[:, index].tolist(), strict=True)),
            ),
            lasting=bool(wear[index] <= _AT_LIMIT),
            judged=judged[:, index],
        )
        for index, (chain, row) in enumerate(zip(at[0].tolist(), numbers, strict=True))
    ]


def _row(chain: str, numbers: Evaluated, *, lasting: bool, judged: np.ndarray) -> Ranked:
    most = int(judged.argmax())
    return Ranked(
        chain_number=chain,
        strands=int(numbers.strands),
        teeth_small=int(numbers.teeth_small),
        teeth_large=int(numbers.teeth_large),
        pitches=int(numbers.pitches),
        lasting=lasting,
        limited_by=LIMITS[most],
        used=float(judged[most]),
        numbers=numbers,
    )
