"""Receiving of strip, bar and wire for parts of roller chain, with the analysis of the heat.

The certificate is held against the tag, the works' own spectrometer and hardness tester against the
certificate, a gauge against the size asked for. The cast analysis is judged against the limits of
the grade; what really came varies about it with the heat, and hardening uses that. Size and
strength of the single coil vary where they are first worked: at slitter, saw and press.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkwright.materials.hardness_scales import hardness_iso18265
from linkwright.processes.choosing import held_of
from linkwright.processes.models.jack_link import Band, band_about
from linkwright.processes.models.rod import receiving_time
from linkwright.processes.receiving import PRODUCT_ANALYSIS, SPREADS, ElementLimit
from linkwright.route import (
    FOLLOWS,
    GIVEN,
    HELD,
    MAIN,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_CHECKED = {"C": 0.02, "Si": 0.03, "Mn": 0.04, "P": 0.005, "S": 0.005, "Cr": 0.05, "Mo": 0.03,
            "Ni": 0.05}  # fmt: skip
"""By how much a check analysis may be off the cast one: EN ISO 683-3, remembered."""
_GAUGED = {"coil": "plate_thickness_mm", "bar": "diameter_mm", "wire": "wire_diameter_mm"}
_WHERE = {
    "coil": "first and last metre of each coil",
    "bar": "three bars of each bundle, both ends",
    "wire": "first and last metre of each coil",
}
_CERTIFICATE = "inspection certificate (EN 10204, 3.1) of the heat on the tag"


@dataclass(frozen=True)
class HeatOfSteel:
    """One heat in the store: which elements its analysis names and what the grade allows.

    branch: that in whose name the heat scatters, and whose card has its analysis; branches of one
    heat name the same.
    """

    branch: str
    elements: tuple[str, ...]
    limits: Sequence[ElementLimit] = ()


class StockReceiving(KeepsSizes):
    """Accept strip, bar or wire for one part."""

    name = "receiving"
    card = ("certificate",)

    def __init__(self, heat: HeatOfSteel, part: str) -> None:
        """``heat``: what comes in; ``part``: what it is for."""
        self.heat = heat
        self.first = part == heat.branch
        self.scatter = tuple(
            Scatter(self._source(element), SPREADS[element], PRODUCT_ANALYSIS)
            for element in heat.elements
            if element in SPREADS
        )

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """What paper, spectrometer, tester and gauge must show; nothing of it is to be chosen."""
        metal = stocks[MAIN]
        how = GIVEN if "certificate" in given else HELD
        own = {row.name for row in machine.card}
        papers = [] if "certificate" in own else [
            Setting("certificate", given.get("certificate", _CERTIFICATE), how,
                    check="heat number on tag and paper the same, each coil or bundle")
        ]  # fmt: skip
        seen = f"as for {self.heat.branch.replace('_', ' ')}: the same heat"
        analysis = [
            Setting(f"{element}_percent", metal[f"{element}_percent"], FOLLOWS, "the certificate",
                    tolerance=_CHECKED[element],
                    check="own spectrometer, three sparks, first coil or bundle of the heat")
            for element in self.heat.elements
            if element in _CHECKED
        ] if self.first else [
            Setting("analysis", seen, FOLLOWS, check="heat number on both tags the same")
        ]  # fmt: skip
        settings = (*papers, *analysis, *_gauged(metal, machine))
        return SetUp(settings, {"limits": _band(metal, wanted, machine), "machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The metal with the analysis that really came; the certificate against the limits."""
        metal = stocks[MAIN]
        real = {
            name: factors.actual(source, value, least=0.0)
            for name, value in metal.analysis().items()
            if (source := self._source(name.removesuffix("_percent"))) in factors.scatter
        }
        gauged, limits = _GAUGED[metal.form], settings.prepared["limits"]
        held = f"held by the works for {machine.name}" if limits.greatest is not None else ""
        findings = (
            # the certificate is a document: what is judged is what it says
            *(
                Finding(f"{limit.element}_percent", metal[f"{limit.element}_percent"], limit.least,
                        limit.greatest, limit.source)
                for limit in self.heat.limits
                if self.first and f"{limit.element}_percent" in metal
            ),
            Finding(f"received_{gauged}", metal[gauged], limits.least, limits.greatest, held,
                    "on the tag, about the size asked for" if held else ""),
            Finding("received_tensile_strength_MPa", metal["tensile_strength_MPa"],
                    note="of the certificate"),
        )  # fmt: skip
        return Step(
            findings,
            metal.changed(condition=real),
            use=_use(machine),
            cautions=_CAUTIONS[metal.form],
        )

    def _source(self, element: str) -> str:
        return f"heat/{self.heat.branch}/{self.name}/{element}_percent"


def _gauged(metal: Stock, machine: Machine) -> list[Setting]:
    """Size and hardness that gauge and tester must show."""
    held, size = machine.held, _GAUGED[metal.form]
    share = held.get("received_size_tolerance_percent")
    hardness = hardness_iso18265(tensile_strength_MPa=metal["tensile_strength_MPa"]).hardness_HV
    value = float(metal[size])
    return [
        Setting(size, metal[size], FOLLOWS, "the tag",
                tolerance=None if share is None else float(f"{value * float(share) / 100.0:.2g}"),
                check=f"micrometer, {_WHERE[metal.form]}"),
        Setting("received_hardness_HV", hardness, FOLLOWS, "the strength on the certificate",
                tolerance=held.get("received_hardness_tolerance_HV"),
                check=f"hardness tester, {_WHERE[metal.form]}"),
    ]  # fmt: skip


def _band(metal: Stock, wanted: Wanted, machine: Machine) -> Band:
    """Size that the works takes for what is asked for; a works that holds none judges none."""
    size = _GAUGED[metal.form]
    held = held_of(machine, tolerance_percent="received_size_tolerance_percent")
    if not held or size not in wanted:
        return Band(None, None)
    return band_about(value=wanted[size], **held)


def _use(machine: Machine) -> dict[str, Any]:
    """Time at the bench, where the works says how long a heat takes."""
    time = machine.rate.get("heat_check_time_min")
    return {} if time is None else {"machine_time_h": receiving_time(time_min=time)}


_TESTER = Caution(
    "Sparks of the spectrometer burn and shine; ground samples are hot",
    "stand closed before the spark, tongs for samples, argon bottle chained",
)
_COIL = Caution(
    "A coil springs open when its bands are cut, its edges cut like knives, and it is heavy",
    "bands cut from the side, coil held; cut-resistant gloves; lifting gear in test",
)
_BAR = Caution(
    "A bundle of bars rolls and crushes; it slides out of a single sling",
    "two slings or a magnet in test, bars stopped on the rack before the bands are cut",
)
_CAUTIONS = {"coil": (_COIL, _TESTER), "wire": (_COIL, _TESTER), "bar": (_BAR, _TESTER)}
