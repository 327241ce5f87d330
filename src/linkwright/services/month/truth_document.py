"""truth.json: what was put into the invented month, for tests to compare with what is found.

Offers `truth_document`.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkwright.services.month.flow import SAMPLE_LINKS, Line, Strand, stuck_positions
from linkwright.services.month.put_in import BEGIN, PutIn, moment, seconds
from linkwright.services.month.readings import Signals, stuck_welds
from linkwright.services.month.truth import poor
from linkwright.services.other_works import FREEDOM

_SCHEMA = 1


def truth_document(signals: Signals, line: Line, links: int) -> dict[str, Any]:
    """All that is put in and lies inside so many links; what lies beyond them is None."""
    put_in = signals.put_in
    return {
        "schema_version": _SCHEMA,
        "invented": "All of this is invented: works, order, machines, readings and faults.",
        "works": "Quarry Lane", "seed": signals.seed, "links": links, "begin": moment(0.0),
        "pitch_mm": signals.pitch_mm,
        "laws": _laws(put_in),
        "stuck_electrode": _stuck(signals, line),
        "poor_coil": _poor_coil(line, put_in),
        "dirty_window": _dirt(line, put_in),
        "electrode_wear": {
            "links_between_dressings": put_in.wear.links,
            "current_share_between": put_in.wear.between,
            "current_share_over_month": put_in.wear.over_month,
        },
        "clocks": _clocks(line, put_in),
        "sent_twice": _twice(line, put_in),
        "slipped_commas": _slipped(line, put_in),
        "lots": _lots(signals, line),
    }  # fmt: skip


def _laws(put_in: PutIn) -> dict[str, Any]:
    return {
        "tempering": "Spies, Münch and Prewitz (1977), at the level of the first article",
        "strength_of_hardness": "Cahoon (1972)",
        "hardening_exponent": put_in.law.hardening_exponent,
        "cooling": "severity by Grossmann, water, moderate agitation",
        "scatter": "Student's t", "degrees_of_freedom": FREEDOM,
        "link_strength": "Weibull, weakest link of the sample",
        "weibull_shape": put_in.law.weibull_shape,
    }  # fmt: skip


def _stuck(signals: Signals, line: Line) -> dict[str, Any] | None:
    for strand in line.strands:
        found = stuck_welds(signals, strand)
        if found is None:
            continue
        first, last = stuck_positions(signals.put_in, signals.pitch_mm)
        last = min(last, first + found[1] - found[0])
        counter, stuck = strand.head.first_counter, signals.put_in.stuck
        return {
            "machine": strand.head.machine, "at": stuck.at.isoformat(),
            "first_weld_at": moment(float(strand.head.weld_s(found[0]))),
            "last_weld_at": moment(float(strand.head.weld_s(found[1]))),
            "first_counter": counter + found[0], "last_counter": counter + found[1],
            "strand": strand.mark, "first_position": first + SAMPLE_LINKS,
            "last_position": last + SAMPLE_LINKS, "lot": strand.lot, "piece": strand.piece,
            "piece_first": first, "piece_last": last, "links": last - first + 1,
            "from_m": round(first * signals.pitch_mm / 1e3, 3),
            "length_m": round((last - first + 1) * signals.pitch_mm / 1e3, 3),
            "force_share": stuck.force, "current_share": stuck.current,
            "voltage_share": stuck.voltage, "upset_mm": stuck.upset_mm,
        }  # fmt: skip
    return None


def _poor_coil(line: Line, put_in: PutIn) -> dict[str, Any] | None:
    """The coil that is low in alloy, and every position that was made of it."""
    mine = [one for one in line.strands if one.head.machine == put_in.coil.machine]
    if not mine:
        return None
    head = mine[0].head
    begin = put_in.coil.place * head.coil_links
    end = begin + head.coil_links - 1
    places = [_inside(one, begin, end) for one in mine]
    held = [(one, where) for one, where in zip(mine, places, strict=True) if where]
    if not held:
        return None
    last = max(one.first_weld + one.welds for one in mine) - 1
    return {
        "coil": head.coil(put_in.coil.place), "machine": head.machine,
        "percent": dict(put_in.coil.percent),
        "first_counter": head.first_counter + begin,
        "last_counter": head.first_counter + min(end, last),
        "lots": [one.lot for one in mine if poor(one, put_in)],
        "strands": [{"strand": one.mark, "first_position": where[0], "last_position": where[1]}
                    for one, where in held],
    }  # fmt: skip


def _inside(strand: Strand, begin: int, end: int) -> tuple[int, int] | tuple[()]:
    """First and last position of the strand welded by these weld numbers."""
    found: list[int] = []
    for first, last, position in strand.weld_runs():
        low, high = max(first, begin), min(last, end)
        if low <= high:
            found += [position + low - first, position + high - first]
    return (found[0], found[-1]) if found else ()


def _dirt(line: Line, put_in: PutIn) -> dict[str, Any] | None:
    if not line.strands or line.strands[-1].harden_s < seconds(put_in.dirt.begin):
        return None
    return {
        "machine": line.name("T"), "begin": put_in.dirt.begin.isoformat(),
        "cleaned": put_in.dirt.cleaned.isoformat(), "reads_low_K": put_in.dirt.reads_low_K,
    }  # fmt: skip


def _clocks(line: Line, put_in: PutIn) -> dict[str, Any]:
    named = {head.machine: "welder" for head in line.heads}
    named |= {line.name(letter): work for letter, work in
              (("H", "harden"), ("T", "temper"), ("C", "pull"), ("G", "gauge"))}  # fmt: skip
    found = {}
    for machine, work in named.items():
        one = put_in.clocks[work]
        until = one.hour_ahead_until
        found[machine] = {
            "offset_s": one.offset_s, "drift_s_per_day": one.drift_s_per_day,
            "hour_ahead_until": until.isoformat() if until else None,
        }  # fmt: skip
    return found


def _first_night(machine: str) -> str:
    """The file of the day on which the first night ends."""
    return f"{machine}_{BEGIN.replace(day=BEGIN.day + 1).date().isoformat()}.csv"


def _made_after_midnight(line: Line, machine: str) -> bool:
    midnight = seconds(BEGIN.replace(day=BEGIN.day + 1, hour=0))
    return any(
        one.head.machine == machine and float(one.head.weld_s(one.weld_numbers[-1])) > midnight + 60
        for one in line.strands
    )


def _twice(line: Line, put_in: PutIn) -> dict[str, Any] | None:
    machine = put_in.twice_machine
    if not _made_after_midnight(line, machine):
        return None
    name = _first_night(machine)
    return {"file": name, "again": name.replace(".csv", "_again.csv")}


def _slipped(line: Line, put_in: PutIn) -> dict[str, Any] | None:
    """File; its rows (counted from 1, the head too) and counters are noted as it is written."""
    if not _made_after_midnight(line, put_in.slipped_machine):
        return None
    return {"file": _first_night(put_in.slipped_machine), "column": "counter", "rows": [],
            "counters": []}  # fmt: skip


def _lots(signals: Signals, line: Line) -> dict[str, Any]:
    """What the lots really are, beside what the plan states of them."""
    truth = signals.truth
    sound = np.array([not poor(one, signals.put_in) for one in line.strands])
    least = next(float(need.least) for need in signals.planned.job.requirements
                 if need.subject == "breaking_force_kN")  # fmt: skip
    forces, chance = truth.sample_force_kN, signals.planned.plan.chance
    planned = next(one for one in chance.parts if one.requirement.subject == "breaking_force_kN")
    return {
        "number": len(line.strands), "sound": int(sound.sum()), "least_force_kN": least,
        "planned_force_kN": planned.mean,
        "mean_link_force_kN": float(truth.of_links["breaking_force_kN"][sound].mean()),
        "mean_sample_force_kN": float(forces[sound].mean()),
        "share_of_sound_lots_above_least": float((forces[sound] >= least).mean()),
    }  # fmt: skip
