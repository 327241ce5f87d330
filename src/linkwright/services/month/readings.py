"""What the machines of the invented month read of every link of a strand, in our own units.

Each function gives the columns of link data (`clock` as seconds from the begin of the month by the
machine's own clock) for one strand, as arrays. Streams of random numbers are seeded by machine and
strand, so a strand's readings hang on no other.

- `Signals`: the works and its plan, from which all means come; `weld`, `harden`, `temper`, `pull`,
  `gauge`: the readings of one strand
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linkwright.planning.draws import stream
from linkwright.services.line_document import PlannedLine
from linkwright.services.month.flow import (
    LINKS_A_STROKE,
    SAMPLE_LINKS,
    STROKE_S,
    Line,
    Strand,
    stuck_positions,
)
from linkwright.services.month.put_in import PutIn
from linkwright.services.month.truth import Truth
from linkwright.services.other_works import FREEDOM

Columns = dict[str, np.ndarray]

GAUGED_EVERY, HARDNESS_EVERY = 50, 500
_UNIT = math.sqrt(FREEDOM / (FREEDOM - 2.0))
# what a machine shows from link to link, as shares or in the unit: invented
_CURRENT, _VOLTAGE, _FORCE, _ENERGY, _UPSET_MM = 0.0035, 0.005, 0.012, 0.002, 0.02
_PYROMETER_K, _POWER, _SPEED, _WATER_K, _SHIFT_K = 1.2, 0.003, 0.001, 0.15, 1.5
_SHIFT_S, _ELASTIC = 28_800.0, 0.009
_STROKE_N, _STROKE_SET, _PITCH_MM, _DIAMETER_MM, _WIDTH_MM, _HARDNESS_HV = (
    60.0, 0.06, 0.05, 0.008, 0.06, 6.0,
)  # fmt: skip


@dataclass(frozen=True)
class Signals:
    """What the readings come from: the plan's settings, the lots' truth, what is put in."""

    planned: PlannedLine
    truth: Truth
    put_in: PutIn
    seed: int
    pitch_mm: float

    def setting(self, operation: str, name: str) -> float:
        """A setting of the plan."""
        place = self.planned.job.route.place(operation)
        return float(self.planned.plan.settled.set_ups[place.key][name])

    def lot(self, name: str, strand: Strand) -> float:
        """A finding of the strand's lot; lines after the first meet the same lots again."""
        values = self.truth.of_lots[name]
        return float(values[strand.place % len(values)])

    def drawn(self, name: str, strand: Strand) -> float:
        """A setting as it really was in the lot, in deviates of the planner's scatter."""
        values = self.truth.drawn[name]
        return float(values[strand.place % len(values)])

    def links(self, name: str, strand: Strand) -> np.ndarray:
        """A finding of the links of the strand's sample."""
        values = self.truth.of_links[name]
        return np.asarray(values[strand.place % len(values)])

    def relative(self, name: str, strand: Strand) -> float:
        """1 + sd z: what a relative scatter of the planner makes of a setting in this lot."""
        return 1.0 + self.planned.plan.members.scatter[name].sd * self.drawn(name, strand)

    def stream(self, machine: str, strand: Strand) -> np.random.Generator:
        """Random numbers of one strand on one machine."""
        return stream(f"{machine}/{strand.mark}", self.seed)

    def shown(self, work: str, at_s: np.ndarray) -> np.ndarray:
        """The clock of the machine that does this work."""
        return self.put_in.clocks[work].shown(at_s)


def _tails(own: np.random.Generator, size: int) -> np.ndarray:
    """Student's t with unit spread."""
    return own.standard_t(FREEDOM, size) / _UNIT


def weld(signals: Signals, strand: Strand) -> Columns:
    """Every weld, rejected ones too: current, voltage, force, energy, time, upset."""
    own, put_in = signals.stream(strand.head.machine, strand), signals.put_in
    number, size = strand.weld_numbers, strand.welds
    since = number % put_in.wear.links
    worn = put_in.wear.between * since / put_in.wear.links
    stuck = _stuck(signals, strand)
    lot = signals.relative("lot/chain/welding/current_kA", strand)
    time_s = signals.setting("welding", "heat_cycles") / mains_Hz(signals)
    moved = 1.0 + worn + put_in.stuck.current * stuck + _CURRENT * _tails(own, size)
    current = 1e3 * signals.setting("welding", "secondary_current_kA") * lot * moved
    voltage = _voltage(signals) * lot * (1.0 + worn + put_in.stuck.voltage * stuck)
    voltage = voltage * (1.0 + _VOLTAGE * _tails(own, size))
    moved = 1.0 + put_in.stuck.force * stuck + _FORCE * _tails(own, size)
    force = 1e3 * signals.setting("welding", "electrode_force_kN") * moved
    energy = current * voltage * time_s * (1.0 + _ENERGY * own.standard_normal(size))
    upset = signals.lot("upset_reached_mm", strand) + put_in.stuck.upset_mm * stuck
    at = signals.shown("welder", strand.head.weld_s(number))
    return {
        "counter": strand.head.first_counter + number, "clock": at,
        "coil": number // strand.head.coil_links,
        "current_A": current, "voltage_V": voltage, "electrode_force_N": force,
        "weld_energy_J": energy, "weld_time_s": np.full(size, time_s),
        "upset_mm": upset + _UPSET_MM * _tails(own, size),
    }  # fmt: skip


def stuck_welds(signals: Signals, strand: Strand) -> tuple[int, int] | None:
    """First and last weld number (from 0) that the stuck electrode made in this strand."""
    if strand.mark != stuck_mark(signals.put_in):
        return None
    first, last = stuck_positions(signals.put_in, signals.pitch_mm)
    begin = strand.first_weld + SAMPLE_LINKS
    if first >= strand.links - SAMPLE_LINKS:
        return None
    return begin + first, min(begin + last, strand.first_weld + strand.welds - 1)


def stuck_mark(put_in: PutIn) -> str:
    """Mark of the strand that the stuck electrode welded."""
    return f"S{put_in.stuck.machine[1:]}-003"


def _stuck(signals: Signals, strand: Strand) -> np.ndarray:
    """How much of the fall is there at each weld, 0 to 1."""
    share = np.zeros(strand.welds)
    found = stuck_welds(signals, strand)
    if found is not None:
        first, last = (one - strand.first_weld for one in found)
        since = np.arange(1.0, last - first + 2.0)
        share[first : last + 1] = 1.0 - np.exp(-since / signals.put_in.stuck.links)
    return share


def mains_Hz(signals: Signals) -> float:
    """Frequency of the mains at the welder."""
    place = signals.planned.job.route.place("welding")
    return float(place.machine.held["mains_frequency_Hz"])


def _voltage(signals: Signals) -> float:
    """What drives the planned current through the weld, by the planned energy of a link."""
    place = signals.planned.job.route.place("welding")
    step = signals.planned.plan.steps[place.key]
    energy_J = 3.6e6 * float(np.mean(step.use["electricity_kWh"])) / float(step.stock["links"])
    time_s = signals.setting("welding", "heat_cycles") / mains_Hz(signals)
    return energy_J / (1e3 * signals.setting("welding", "secondary_current_kA") * time_s)


def harden(signals: Signals, strand: Strand, line: Line) -> Columns:
    """Every link in the hardening coil: pyrometer, power, speed, quench water."""
    own, size = signals.stream(line.name("H"), strand), strand.links
    at = strand.harden_s + _passing(signals, strand)
    nominal = signals.planned.plan.steps[signals.planned.job.route.place("hardening").key]
    off = signals.lot("straight_temperature_degC", strand)
    off -= float(np.mean(nominal.finding("straight_temperature_degC").value))
    reading = signals.setting("hardening", "pyrometer_reading_degC") + off
    water = signals.setting("quenching", "water_temperature_degC")
    name = "lot/chain/quenching/water_temperature_degC"
    water += signals.planned.plan.members.scatter[name].sd * signals.drawn(name, strand)
    shift = _SHIFT_K * np.sin(2.0 * np.pi * at / _SHIFT_S)
    return {
        "counter": strand.first_heat + np.arange(size), "clock": signals.shown("harden", at),
        "position": np.arange(size),
        "temperature_degC": reading + _PYROMETER_K * _tails(own, size),
        "coil_power_W": 1e3 * signals.lot("generator_power_kW", strand)
        * (1.0 + _POWER * _tails(own, size)),
        "speed_m_per_s": _speed(signals, strand) * (1.0 + _SPEED * _tails(own, size)),
        "quench_water_degC": water + shift + _WATER_K * _tails(own, size),
    }  # fmt: skip


def temper(signals: Signals, strand: Strand, line: Line) -> Columns:
    """Every link in the temper coil; a dirty window makes the pyrometer read low."""
    own, size = signals.stream(line.name("T"), strand), strand.links
    at = strand.temper_s + _passing(signals, strand)
    nominal = signals.planned.plan.steps[signals.planned.job.route.place("tempering").key]
    off = signals.lot("temper_temperature_degC", strand)
    off -= float(np.mean(nominal.finding("temper_temperature_degC").value))
    off -= float(signals.put_in.dirt.at(np.array(strand.harden_s)))
    reading = signals.setting("tempering", "pyrometer_reading_degC") + off
    return {
        "counter": strand.first_heat + 400_000 + np.arange(size),
        "clock": signals.shown("temper", at), "position": np.arange(size),
        "temperature_degC": reading + _PYROMETER_K * _tails(own, size),
        "coil_power_W": 1e3 * signals.lot("temper_generator_power_kW", strand)
        * (1.0 + _POWER * _tails(own, size)),
        "speed_m_per_s": _speed(signals, strand) * (1.0 + _SPEED * _tails(own, size)),
    }  # fmt: skip


def _speed(signals: Signals, strand: Strand) -> float:
    lot = signals.relative("lot/chain/hardening/line_speed_m_per_s", strand)
    return signals.setting("hardening", "line_speed_m_per_s") * lot


def _passing(signals: Signals, strand: Strand) -> np.ndarray:
    """Seconds after the first link."""
    return np.arange(strand.links) * (1e-3 * signals.pitch_mm / _speed(signals, strand))


def pull(signals: Signals, strand: Strand, line: Line) -> Columns:
    """Every stroke of the calibrator: links in it, force, extension, set, length before it."""
    own, size = signals.stream(line.name("C"), strand), strand.strokes
    stroke = np.arange(size)
    first = stroke * LINKS_A_STROKE
    last = np.minimum(first + LINKS_A_STROKE, strand.links) - 1
    length = (last - first + 1) * float(signals.links("pitch_before_mm", strand).mean())
    stays = length * float(signals.links("set_percent", strand).mean()) / 100.0
    stays = stays * (1.0 + _STROKE_SET * _tails(own, size))
    force = 1e3 * signals.lot("proof_force_kN", strand) + _STROKE_N * _tails(own, size)
    return {
        "counter": strand.first_stroke + stroke,
        "clock": signals.shown("pull", strand.pull_s + STROKE_S * stroke),
        "first_position": first, "last_position": last, "force_N": force,
        "extension_mm": stays + _ELASTIC * length, "set_mm": stays, "stroke_length_mm": length,
    }  # fmt: skip


def gauge(signals: Signals, strand: Strand, line: Line) -> Columns:
    """Every fiftieth link gauged after the calibrator; every five-hundredth also hardness."""
    own = signals.stream(line.name("G"), strand)
    position = np.arange(0, strand.links, GAUGED_EVERY)
    size = position.size
    at = strand.pull_s + STROKE_S * (position // LINKS_A_STROKE + 1) + 4.0
    names = ("pitch_mm", "material_diameter_mm", "inner_width_mm", "hardness_HV")
    mean = {name: float(signals.links(name, strand).mean()) for name in names}
    hard = mean["hardness_HV"] + _HARDNESS_HV * _tails(own, size)
    return {
        "counter": 700_001 + strand.place * 1000 + np.arange(size),
        "clock": signals.shown("gauge", at), "position": position,
        "pitch_mm": mean["pitch_mm"] + _PITCH_MM * _tails(own, size),
        "wire_diameter_mm": mean["material_diameter_mm"] + _DIAMETER_MM * _tails(own, size),
        "width_mm": mean["inner_width_mm"] + _WIDTH_MM * _tails(own, size),
        "hardness_HV": np.where(position % HARDNESS_EVERY == 0, hard, np.nan),
    }  # fmt: skip
