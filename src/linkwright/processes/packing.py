"""Packing: finished chain is laid into boxes or drums of a length, weighed and labelled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import solved_for
from linkwright.processes.models.link_geometry import wire_mass
from linkwright.processes.models.packages import (
    chain_mass,
    package_length,
    package_mass,
    packages,
    packing_time,
    pieces_in_package,
)
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.route import (
    MAIN,
    SOLVED,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_HOLDS = ("greatest_package_mass_kg", "tare_kg", "package_volume_l", "filled_share")


class Packing(KeepsSizes):
    """As much chain in a package as its mass and volume let, in whole pieces.

    A piece is what marking gave a serial number; where none was cut, a step of length that
    the works holds. label: words that every package carries beside length and mass.
    """

    name = "packing"
    card = (
        "package_length_m", "pieces_per_package_count", "package_mass_kg", "package_kind",
        "label_text", "closing",
    )  # fmt: skip

    def __init__(self, cautions: tuple[Caution, ...] = (), label: tuple[str, ...] = ()) -> None:
        self.cautions = (*_CAUTIONS, *cautions)
        self.label = label

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Length and mass of a package, from the mass and the volume that the works holds."""
        chain = stocks[MAIN]
        step = _piece(chain, machine)
        inputs = {"chain_mass_kg_per_m": mass_per_metre(chain), "length_step_m": step} | {
            name: machine.held[name] for name in _HOLDS
        }
        length = solved_for(
            "package_length_m",
            "whole pieces within the mass and the volume of a package",
            lambda: _package_length(machine, inputs),
            machine,
            given,
            inputs=inputs,
            check="length counter, each package",
            tolerance=machine.held["length_tolerance_m"],
        )
        pieces = pieces_in_package(package_length_m=length.value, piece_length_m=step)
        gross = package_mass(
            chain_mass_kg_per_m=inputs["chain_mass_kg_per_m"],
            package_length_m=length.value,
            tare_kg=inputs["tare_kg"],
        )
        settings = (
            length,
            Setting("pieces_per_package_count", pieces, SOLVED, tolerance=0.0,
                    check="serials read into the register, each package"),
            Setting("package_mass_kg", gross, SOLVED, tolerance=machine.held["mass_tolerance_kg"],
                    check="scale, each package; a wrong mass means a wrong length"),
            Setting("label_text", self._label(length.value, gross, inputs["tare_kg"]), SOLVED,
                    check="read against the order before the package is closed"),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Packages, their mass, the mass of the whole order."""
        chain, mass = stocks[MAIN], mass_per_metre(stocks[MAIN])
        ordered, length = chain["ordered_length_m"], settings["package_length_m"]
        count = packages(length_m=ordered, package_length_m=length)
        gross = package_mass(
            chain_mass_kg_per_m=mass, package_length_m=length, tare_kg=machine.held["tare_kg"]
        )
        whole = package_mass(chain_mass_kg_per_m=mass, package_length_m=ordered)
        return Step(
            (
                Finding("chain_mass_kg_per_m", mass),
                Finding(
                    "package_mass_kg",
                    gross,
                    None,
                    machine.held["greatest_package_mass_kg"],
                    "held by the works for what lifts the package",
                ),
                Finding("packages", count),
                Finding("net_mass_kg", whole),
            ),
            chain.changed(amount={"packages": count, "package_length_m": length}),
            use={
                "machine_time_h": packing_time(
                    packages=count, package_time_min=machine.rate["package_time_min"]
                )
            },
            cautions=self.cautions,
        )

    def _label(self, length_m: Any, gross_kg: Any, tare_kg: Any) -> str:
        """What stands on a full package; the last may hold less and is weighed."""
        gross, tare = float(gross_kg), float(tare_kg)
        amount = (f"{float(length_m):g} m", f"net {gross - tare:.1f} kg", f"gross {gross:.1f} kg")
        return ", ".join((*self.label, *amount))


class Crating(Packing):
    """The same for chain too heavy or too long for the packages of link chain."""

    name = "crating"


def mass_per_metre(chain: Stock) -> Any:
    """Mass of a metre: of all parts of it, or of the lot's own wire, since many links lie in it."""
    if "chain_mass_kg_per_m" in chain:
        return chain["chain_mass_kg_per_m"]
    length = "centreline_length_mm" if "centreline_length_mm" in chain else "cut_length_mm"
    piece = wire_mass(wire_diameter_mm=chain["lot_wire_diameter_mm"], length_mm=chain[length])
    return chain_mass(piece_mass_kg=piece, pitch_mm=chain["pitch_mm"])


def _package_length(machine: Machine, inputs: Mapping[str, Any]) -> Any:
    try:
        return package_length(**inputs)
    except ArgumentError as error:
        raise CannotPlan(
            f"{machine.name!r} cannot pack a piece of {float(inputs['length_step_m']):g} m: "
            f"{error.accepted}; cut shorter pieces or pack into something larger"
        ) from None


def _piece(chain: Stock, machine: Machine) -> Any:
    return chain["piece_length_m"] if "piece_length_m" in chain else machine.held["length_step_m"]


_CAUTIONS = (
    Caution(
        "Packages are heavy, and strapping springs back when it is cut",
        "lift by two or with a hoist as local rules ask; gloves and eye protection",
    ),
)
