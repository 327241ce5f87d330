"""The pull on hot chain: its setting, and what it does to the pitch.

- `STRETCH`: the works' factor on hot distortion, no transferable law
- `pull_setting`: pull on the chain, from the stress that the works holds
- `per_newton`: stretch and stress of a link by a pull of one newton
- `pitch_before`, `stretched`: pitch asked back and handed on
- `pull_findings`: stretch of the pitch and stress in the hot link
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import as_it_comes, chosen, solved_for
from linkwright.processes.heat_operation import SIZES
from linkwright.processes.models.hot_stretch import (
    HotStretch,
    hot_stress_ratio,
    hot_stretch_of_link,
    line_pull,
    stretch_under,
)
from linkwright.processes.models.link_geometry import stretched_pitch, unstretched_pitch
from linkwright.route import Conditions, Factor, Finding, Machine, Setting, Wanted
from linkwright.route.stock import Stock

STRETCH = Factor(
    "factor/hardening/hot_distortion",
    1.0,
    0.50,
    "works' own factor on the stretch of hot chain under the pull of the line, not yet learned: "
    "stated band 50 %; no transferable law",
    "measure ten pitches before and after the line, at three pulls",
)
_CHECK = "scale of the brake, each hour"


def pull_setting(link: Stock, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Pull as held; without it, that which stresses the wire as the works holds."""
    if "chain_tension_N" in machine.held or "chain_tension_N" in given:
        return chosen("chain_tension_N", machine, given, check=_CHECK, tolerance=20.0)
    known = _stressed(link["lot_wire_diameter_mm"], machine)
    return solved_for(
        "chain_tension_N",
        f"{float(known['wire_stress_MPa']):g} MPa in the legs",
        lambda: float(line_pull(**known)),
        machine,
        given,
        inputs=known,
        check=_CHECK,
        tolerance=20.0,
    )


def pitch_before(wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions) -> Any:
    """Pitch that becomes the one wanted under the pull.

    The compliance is that of the link before, whose pitch is the answer: twice round is exact
    to a thousandth of a millionth. Wire and width are those that really come, where known.
    """
    sizes = {name: as_it_comes(name, wanted, near) for name in SIZES}
    pull = machine.held.get("chain_tension_N")
    if pull is None:
        pull = line_pull(**_stressed(sizes["wire_diameter_mm"], machine))
    sizes["pitch_mm"] = wanted["pitch_mm"]
    for _ in range(2):
        stretch = stretch_under(
            stretch_per_N_percent=per_newton(sizes).stretch_percent,
            chain_tension_N=pull,
            factor=factors.factor(STRETCH.name),
        )
        sizes["pitch_mm"] = unstretched_pitch(pitch_mm=wanted["pitch_mm"], stretch_percent=stretch)
    return sizes["pitch_mm"]


def per_newton(link: Mapping[str, Any] | Stock) -> HotStretch:
    """Stretch of the pitch and greatest stress of this link by a pull of one newton."""
    sizes = {name: link[name] for name in SIZES}
    return hot_stretch_of_link(**sizes)


def stretched(link: Stock, per_N: HotStretch, pull: Any, factors: Conditions) -> tuple[Stock, Any]:
    """The link that has stretched, and by how many per cent."""
    stretch = stretch_under(
        stretch_per_N_percent=per_N.stretch_percent,
        chain_tension_N=pull,
        factor=factors.factor(STRETCH.name),
    )
    pitch = stretched_pitch(pitch_mm=link["pitch_mm"], stretch_percent=stretch)
    return link.changed("chain", shape={"pitch_mm": pitch}), stretch


def pull_findings(
    link: Stock, stretch: Any, stress: Any, hottest: Any, machine: Machine
) -> tuple[Finding, ...]:
    """Stretch, which only a trial can judge, and the stress of the hot link."""
    ratio = hot_stress_ratio(stress_MPa=stress, temperature_degC=hottest, **link.elements("C"))
    return (
        Finding("hot_stretch_percent", stretch, note=f"to learn: {STRETCH.trial}"),
        Finding(
            "hot_stress_ratio",
            ratio,
            None,
            machine.held["greatest_hot_stress_ratio"],
            "held by the works: above about half the flow stress the link stretches by itself",
            "greatest stress of the hot link over its flow stress, Shida",
        ),
    )


def _stressed(wire_diameter_mm: Any, machine: Machine) -> dict[str, Any]:
    return {
        "wire_stress_MPa": machine.held["hot_pull_MPa"],
        "wire_diameter_mm": wire_diameter_mm,
    }
