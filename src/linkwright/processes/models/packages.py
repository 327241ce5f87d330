"""Sums of packing: mass of chain, length and number of packages, time.

- `chain_mass`: mass of a metre from the mass of a link
- `package_length`, `packages`, `package_mass`, `pieces_in_package`: what goes into one package
- `packing_time`: hours to pack and label
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError


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


@calculation(
    source="length over length",
    gives="pieces_per_package_count",
    basis="computed",
    needs={"package_length_m": POSITIVE, "piece_length_m": POSITIVE},
)
def pieces_in_package(*, package_length_m: Values, piece_length_m: Values) -> Values:
    """Pieces in a package: its length over that of a piece.

    References: none needed.
    """
    return np.round(np.asarray(package_length_m, float) / piece_length_m, 9)[()]
