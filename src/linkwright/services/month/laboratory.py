"""What the laboratory of the invented month found of every lot and coil, with its gauges' errors.

- `tests_csv`: one row a reading, with gauge, uncertainty and day
- `learning_csv`: the first lots as `linkwright learn` takes them
- `coils_csv`: own analysis of the coils; `causes_csv`: lots as `linkwright causes` takes them
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from linkwright.planning.draws import stream
from linkwright.services.month.flow import STROKE_S, Strand
from linkwright.services.month.put_in import PutIn, moment
from linkwright.services.month.readings import Signals
from linkwright.services.month.truth import SAMPLE, coil_of, poor

GAUGES = {"breaking_force_kN": ("Z-2", 0.35), "total_elongation_percent": ("Z-2", 0.3),
          "hardness_HV": ("HV-1", 4.0)}  # fmt: skip
"""Gauge and its standard uncertainty, by result; invented."""
INDENTS, LEARNED_LOTS = 3, 2
"""Readings of hardness a lot; lots that `learning_csv` holds. More lots than that weigh so much
that few lots of a plan carry the weight: see docs/models/month.md."""
_ANALYSIS = {"C": 0.004, "Mn": 0.012, "Ni": 0.008, "Cr": 0.008, "Mo": 0.004}
_FIRST = "# Invented: readings of the made-up works Quarry Lane.\n"


@dataclass(frozen=True)
class Findings:
    """Readings of the lots, in the order of the strands.

    force_kN, elongation_percent: shape (lots,); hardness_HV: (lots, 3). analysis: of the coil at
    the front of each lot, by element.
    """

    strands: Sequence[Strand]
    force_kN: np.ndarray
    elongation_percent: np.ndarray
    hardness_HV: np.ndarray
    analysis: dict[str, np.ndarray]


def findings(signals: Signals, strands: Sequence[Strand]) -> Findings:
    """What the laboratory reads of the lots' samples."""
    truth, own, lots = signals.truth, stream("laboratory", signals.seed), len(strands)
    force_u, long_u, hard_u = (GAUGES[name][1] for name in GAUGES)
    links = truth.of_links
    picked = own.integers(0, SAMPLE, (lots, INDENTS))
    hardness = np.take_along_axis(links["hardness_HV"], picked, axis=1)
    analysis = {}
    for element, sd in _ANALYSIS.items():
        error = {one: float(own.normal(0.0, sd)) for one in dict.fromkeys(map(_coil, strands))}
        away = np.array([error[_coil(one)] for one in strands])
        analysis[element] = np.asarray(truth.percent[element]) + away
    return Findings(
        strands,
        truth.sample_force_kN + force_u * own.standard_normal(lots),
        links["total_elongation_percent"].mean(axis=1) + long_u * own.standard_normal(lots),
        hardness + hard_u * own.standard_normal((lots, INDENTS)),
        analysis,
    )


def _coil(strand: Strand) -> str:
    return strand.head.coil(coil_of(strand))


def tests_csv(found: Findings) -> str:
    """One row a reading: lot, piece, coil, result, value, gauge, its uncertainty, when."""
    rows: list[tuple[object, ...]] = []
    for place, strand in enumerate(found.strands):
        at = moment(strand.pull_s + STROKE_S * strand.strokes + 3600.0)[:16] + "Z"
        force, longer = found.force_kN[place], found.elongation_percent[place]
        values = [("breaking_force_kN", 1, f"{force:.2f}"),
                  ("total_elongation_percent", 1, f"{longer:.2f}")]  # fmt: skip
        values += [("hardness_HV", number, f"{one:.0f}")
                   for number, one in enumerate(found.hardness_HV[place], 1)]  # fmt: skip
        rows += [(strand.lot, strand.piece, f"T{strand.mark[1:]}", _coil(strand), name, number,
                  value, *GAUGES[name], at) for name, number, value in values]  # fmt: skip
    head = ("lot", "piece", "sample", "coil", "result", "number", "value", "gauge", "gauge_u", "at")
    return _csv(head, rows)


def learning_csv(found: Findings, put_in: PutIn) -> str:
    """The first lots for learning, without those of the poor coil, which is another steel."""
    force_u, hard_u = GAUGES["breaking_force_kN"][1], GAUGES["hardness_HV"][1]
    rows: list[tuple[object, ...]] = []
    sound = [place for place, one in enumerate(found.strands) if not poor(one, put_in)]
    for place in sound[:LEARNED_LOTS]:
        for number, hard in enumerate(found.hardness_HV[place]):
            once = ("", "") if number else (f"{found.force_kN[place]:.2f}", force_u)
            rows.append((found.strands[place].lot, *once, f"{hard:.0f}", hard_u))
    head = ("lot", "breaking_force_kN", "breaking_force_u_kN", "hardness_HV", "hardness_u_HV")
    return _csv(head, rows)


def coils_csv(found: Findings) -> str:
    """The works' own analysis of every coil."""
    first = {_coil(one): place for place, one in reversed(list(enumerate(found.strands)))}
    rows = [(mark, mark.split("/")[0], *(f"{found.analysis[one][place]:.3f}" for one in _ANALYSIS))
            for mark, place in sorted(first.items())]  # fmt: skip
    return _csv(("coil", "heat_on_tag", *(f"{one}_percent" for one in _ANALYSIS)), rows)


def causes_csv(signals: Signals, found: Findings) -> str:
    """A row a lot: process variables beside the breaking force."""
    columns = variables(signals, found)
    names = list(columns)
    rows = [
        (one.lot, *(f"{columns[name][place]:.5g}" for name in names), f"{force:.2f}")
        for place, (one, force) in enumerate(zip(found.strands, found.force_kN, strict=True))
    ]
    return _csv(("lot", *names, "breaking_force_kN"), rows)


def variables(signals: Signals, found: Findings) -> dict[str, np.ndarray]:
    """Process variables of the lots, as the machines and the laboratory read them."""
    truth, own, lots = signals.truth, stream("variables", signals.seed), len(found.strands)
    at = np.array([one.harden_s for one in found.strands])
    lot = {name: np.asarray(values)[:lots] for name, values in truth.of_lots.items()}
    current = np.array([signals.relative("lot/chain/welding/current_kA", one)
                        for one in found.strands])  # fmt: skip
    return {
        "secondary_current_kA": signals.setting("welding", "secondary_current_kA") * current,
        "straight_temperature_degC": lot["straight_temperature_degC"] + own.normal(0.0, 1.0, lots),
        "temper_temperature_degC": lot["temper_temperature_degC"] - signals.put_in.dirt.at(at)
        + own.normal(0.0, 1.0, lots),
        "temper_generator_power_kW": lot["temper_generator_power_kW"],
        "proof_force_kN": lot["proof_force_kN"],
        **{f"{element}_percent": values for element, values in found.analysis.items()},
    }  # fmt: skip


def _csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    text.write(_FIRST)
    out = csv.writer(text, lineterminator="\n")
    out.writerow(head)
    out.writerows(rows)
    return text.getvalue()
