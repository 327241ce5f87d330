"""The works as it really is: physics of every lot by laws that the planner does not use.

- tempering: Spies, Münch and Prewitz, at the level that the first article's hardness set
- strength of hardness: Cahoon, with the works' own exponent of strain hardening (invented)
- cooling: Grossmann's severity of moderately moved water
- scatter: Student's t with four degrees of freedom, the spread as the planner states it
- link strength: Weibull about the lot, a sample breaks at its weakest link
- one wire coil low in alloy; the temper creeps up as the pyrometer's window gets dirty; welding
  current falls as the electrodes wear

Offers `Truth`, `truth_of`, `month_world`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import gamma

from linkwright.materials.hardness_scales import tensile_strength_cahoon
from linkwright.planning.draws import stream
from linkwright.route import Conditions
from linkwright.services.line_document import PlannedLine
from linkwright.services.month.flow import Strand
from linkwright.services.month.put_in import DAY_S, PutIn
from linkwright.services.other_works import (
    TRANSFER,
    Draws,
    Otherwise,
    World,
    anchored,
    factor_at,
    findings_of,
    heavy_tails,
    other_cooling,
    plain_draws,
    spies,
)

SAMPLE = 5
"""Links of a sample that is pulled."""
HEAT_COILS = 20
"""Coils of a head that come from one heat."""
_BATCH = 256
_RATIO = "link/chain/inspection/breaking_force_ratio"
_TEMPER_CURRENT = "lot/chain/tempering/coil_current_A"
_WELD_CURRENT = "lot/chain/welding/current_kA"
_ELEMENT = "heat/wire/receiving/{}_percent"
_KELVIN_A_SHARE = 840.0
"""Kelvin of the temper's rise for a share of its coil current, near the plan's setting."""
_OWN_CURRENT = 0.03
_OF_LINKS = ("breaking_force_kN", "hardness_HV", "total_elongation_percent", "pitch_mm",
             "set_percent", "pitch_before_mm", "material_diameter_mm",
             "inner_width_mm")  # fmt: skip
_OF_LOTS = ("straight_temperature_degC", "generator_power_kW", "temper_temperature_degC",
            "temper_generator_power_kW", "proof_force_kN", "upset_reached_mm")  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """What the lots really are, in the order of the strands.

    of_links: findings of the sample's links, shape (lots, 5); of_lots: shape (lots,); percent:
    true analysis by element; drawn: the draws of the lots' own settings, in their deviates.
    """

    of_links: Mapping[str, np.ndarray]
    of_lots: Mapping[str, np.ndarray]
    percent: Mapping[str, np.ndarray]
    drawn: Mapping[str, np.ndarray]

    @property
    def sample_force_kN(self) -> np.ndarray:
        """Breaking force of each lot's sample: its weakest link."""
        return np.asarray(self.of_links["breaking_force_kN"].min(axis=1))


def month_world(planned: PlannedLine, put_in: PutIn) -> World:
    """The other laws of the month, for `findings_of` with the settings of a plan."""
    law = anchored(spies, planned)
    transfer = factor_at(TRANSFER, other_cooling(planned))

    def strength(hardness: np.ndarray) -> np.ndarray:
        exponent = put_in.law.hardening_exponent
        found = tensile_strength_cahoon(hardness_HV=hardness, hardening_exponent=exponent)
        return np.asarray(found)

    def draws(plain: Draws, stated: Conditions) -> Draws:
        return transfer(heavy_tails(plain, stated), stated)

    other = {"tempering": lambda inner: Otherwise(inner, law, strength)}
    return World("the invented month", draws, other)


def truth_of(planned: PlannedLine, strands: Sequence[Strand], put_in: PutIn, seed: int) -> Truth:
    """The physics of the lots made of these strands, at the settings of the plan."""
    stated = planned.plan.members
    world = month_world(planned, put_in)
    own = int(stream("lots", seed).integers(2**32))
    drawn = world.draws(plain_draws(stated, len(strands), SAMPLE, own), stated)
    drawn = _moved(drawn, stated, strands, put_in, seed)
    parts = []
    for start in range(0, len(strands), _BATCH):
        rows = slice(start, start + _BATCH)
        some = {name: one[rows] for name, one in drawn.items()}
        found, count = findings_of(planned, world, some), len(strands[rows])
        parts.append({name: np.broadcast_to(np.asarray(found[name], float), (count, SAMPLE))
                      for name in (*_OF_LINKS, *_OF_LOTS)})  # fmt: skip
    whole = {name: np.concatenate([one[name] for one in parts]) for name in parts[0]}
    percent = {
        element: planned.job.rod.analysis[f"{element}_percent"]
        + stated.scatter[_ELEMENT.format(element)].sd * drawn[_ELEMENT.format(element)][:, 0]
        for element in ("C", "Mn", "Ni", "Cr", "Mo")
    }
    settings = {name: values[:, 0] for name, values in drawn.items() if name.startswith("lot/")}
    return Truth(
        {name: whole[name] for name in _OF_LINKS},
        {name: whole[name].mean(axis=1) for name in _OF_LOTS}, percent, settings,
    )  # fmt: skip


def coil_of(strand: Strand) -> int:
    """Which coil of its head the front of a strand, and so its sample, is made of."""
    return strand.first_weld // strand.head.coil_links


def poor(strand: Strand, put_in: PutIn) -> bool:
    """Whether the front of the strand is of the coil that is low in alloy."""
    mine = strand.head.machine == put_in.coil.machine
    return mine and coil_of(strand) == put_in.coil.place


def _moved(
    drawn: Draws, stated: Conditions, strands: Sequence[Strand], put_in: PutIn, seed: int
) -> Draws:
    """The draws with heats shared by lots, the poor coil, the drifts and Weibull links."""
    moved = dict(drawn)
    heats = [f"{one.head.machine}/{coil_of(one) // HEAT_COILS}" for one in strands]
    first = {heat: heats.index(heat) for heat in dict.fromkeys(heats)}
    same = np.array([first[heat] for heat in heats])
    bad = np.array([poor(one, put_in) for one in strands])
    for name in drawn:
        if name.startswith("heat/"):
            moved[name] = drawn[name][same]
            element = name.rsplit("/", 1)[-1].removesuffix("_percent")
            less = put_in.coil.percent.get(element, 0.0) / stated.scatter[name].sd
            moved[name] = moved[name] + less * bad[:, None]
    at = np.array([[one.harden_s] for one in strands])
    hot = put_in.dirt.at(at) / _KELVIN_A_SHARE
    moved[_TEMPER_CURRENT] = drawn[_TEMPER_CURRENT] + hot / stated.scatter[_TEMPER_CURRENT].sd
    welded = np.array([[float(one.head.weld_s(one.first_weld))] for one in strands])
    worn = put_in.wear.over_month * welded / (30.0 * DAY_S)
    # the regulator does not know where a lot begins: little of the planner's scatter is its own
    worn = worn / stated.scatter[_WELD_CURRENT].sd
    moved[_WELD_CURRENT] = _OWN_CURRENT * drawn[_WELD_CURRENT] + worn
    shape, mean = put_in.law.weibull_shape, float(gamma(1.0 + 1.0 / put_in.law.weibull_shape))
    links = stream("link strength", seed).weibull(shape, (len(strands), SAMPLE)) / mean
    moved[_RATIO] = (links - 1.0) / stated.scatter[_RATIO].sd
    return moved
