"""Packing: finished chain is laid into boxes or drums of a length, weighed and labelled.

`Packing` is the operation; `chain_mass`, `package_length`, `packages`, `package_mass` and
`packing_time` are its sums.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.choosing import solved_for
from linkwright.processes.models.link_geometry import wire_mass
from linkwright.quantities import ArgumentError
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock


@calculation(
    source="mass of a link over its pitch",
    gives="chain_mass_kg_per_m",
    basis="computed",
    needs={"piece_mass_kg": POSITIVE, "pitch_mm": POSITIVE},
)
def chain_mass(*, piece_mass_kg: Values, pitch_mm: Values) -> Values:
    """Mass of a metre of chain: mass of a link over its pitch.

    References: a chain of n links is n pitches long.
    """
    return 1000.0 * piece_mass_kg / pitch_mm


@calculation(
    source="balance of mass and volume in a package",
    gives="package_length_m",
    basis="computed",
    needs={
        "chain_mass_kg_per_m": POSITIVE,
        "greatest_package_mass_kg": POSITIVE,
        "tare_kg": NOT_NEGATIVE,
        "package_volume_l": POSITIVE,
        "filled_share": (1e-6, 1.0),
        "length_step_m": POSITIVE,
    },
)
def package_length(
    *,
    chain_mass_kg_per_m: Values,
    greatest_package_mass_kg: Values,
    tare_kg: Values,
    package_volume_l: Values,
    filled_share: Values,
    length_step_m: Values,
    density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Chain in a package: as much as its mass and its volume let, in whole steps of length.

    Mass: (greatest - tare)/q; volume: rho V f/q, f the share of the package that is steel.

    Raises `ArgumentError` if not one step of length goes into a package.

    References: balance of mass; density of steel as EN 1993-1-2:2005, 3.2.2.

    Example:
        >>> print(package_length(chain_mass_kg_per_m=0.12, greatest_package_mass_kg=23.0,
        ...     tare_kg=1.0, package_volume_l=20.0, filled_share=0.12, length_step_m=10.0))
        150.0
    """
    by_mass = (greatest_package_mass_kg - tare_kg) / chain_mass_kg_per_m
    by_volume = density_kg_per_m3 * package_volume_l * 1e-3 * filled_share / chain_mass_kg_per_m
    steps = np.floor(np.minimum(by_mass, by_volume) / length_step_m + 1e-9)
    if np.any(steps < 1.0):
        most = float(np.min(np.minimum(by_mass, by_volume)))
        raise ArgumentError("length_step_m", length_step_m, "m", f"at most {most:g} m")
    return steps * length_step_m


@calculation(
    source="whole packages for a length",
    gives="packages",
    basis="computed",
    needs={"length_m": POSITIVE, "package_length_m": POSITIVE},
)
def packages(*, length_m: Values, package_length_m: Values) -> Values:
    """Number of packages: length over the length in one, rounded up.

    References: none needed.
    """
    return np.ceil(np.asarray(length_m, float) / package_length_m - 1e-9)[()]


@calculation(source="balance of mass", gives="package_mass_kg", basis="computed")
def package_mass(
    *, chain_mass_kg_per_m: Values, package_length_m: Values, tare_kg: Values = 0.0
) -> Values:
    """Mass of a length of chain and what it is packed in.

    References: none needed.
    """
    return chain_mass_kg_per_m * package_length_m + tare_kg


@calculation(source="packages times time", gives="machine_time_h", basis="computed")
def packing_time(*, packages: Values, package_time_min: Values) -> Values:
    """Hours to pack and label all packages.

    References: none needed.
    """
    return packages * package_time_min / 60.0


class Packing(Operation):
    """As much chain in a package as a person may lift and as goes in, in whole steps."""

    name = "packing"

    def __init__(self, cautions: tuple[Caution, ...] = ()) -> None:
        self.cautions = (*_CAUTIONS, *cautions)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Chain as it was inspected."""
        return {MAIN: dict(wanted)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Length in a package, from the mass and the volume that the works holds."""
        inputs = {"chain_mass_kg_per_m": _mass(stocks[MAIN])} | {
            name: machine.held[name]
            for name in (
                "greatest_package_mass_kg", "tare_kg", "package_volume_l", "filled_share",
                "length_step_m",
            )
        }  # fmt: skip
        length = solved_for(
            "package_length_m",
            "whole steps of length within the mass and the volume of a package",
            lambda: package_length(**inputs),
            machine,
            given,
            inputs=inputs,
            check="length counter, each package; scale, each package",
            tolerance=0.1,
        )
        return SetUp((length,), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Packages, their mass, the mass of the whole order."""
        chain, mass = stocks[MAIN], _mass(stocks[MAIN])
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
                    "held by the works for lifting by hand",
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


def _mass(chain: Stock) -> Any:
    """Mass of a metre: many links lie in a package, so the lot's own wire counts."""
    piece = wire_mass(
        wire_diameter_mm=chain["lot_wire_diameter_mm"], length_mm=chain["cut_length_mm"]
    )
    return chain_mass(piece_mass_kg=piece, pitch_mm=chain["pitch_mm"])


_CAUTIONS = (
    Caution(
        "Packages are heavy, and strapping springs back when it is cut",
        "lift by two or with a hoist as local rules ask; gloves and eye protection",
    ),
)
