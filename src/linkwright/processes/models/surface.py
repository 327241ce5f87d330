"""Sums of finishing: surface of a chain, tumbling, blasting.

- `surface_of_chain`: area of a metre of chain
- `critical_barrel_speed`: at which a barrel carries its load round instead of tumbling it
- `surface_loss`, `diameter_after_loss`: metal that tumbling or blasting takes
- `diameter_before_loss`: what must come in; `load_of_surface`, `time_of_loads`: of a machine
- `shot_impacts`, `blast_coverage`, `blast_time`: share of the surface hit at least once
- `mass_on_chain`: oil or zinc on a length of chain
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_KIRK = (
    "D. Kirk & M. Y. Abyaneh, Theoretical basis of shot peening coverage control (1993): "
    "Avrami's equation for random impacts"
)


@calculation(
    source="surface of a cylinder over the pitch",
    gives="surface_m2_per_m",
    basis="computed",
    needs={
        "wire_diameter_mm": POSITIVE,
        "centreline_length_mm": POSITIVE,
        "pitch_mm": POSITIVE,
    },
)
def surface_of_chain(
    *, wire_diameter_mm: Values, centreline_length_mm: Values, pitch_mm: Values
) -> Values:
    """Surface of a metre of chain: pi d L/p, with L the length of the link's centre line.

    References: Pappus: the surface of a bent round bar is circumference times centre line.

    Example:
        >>> print(round(surface_of_chain(wire_diameter_mm=8.0, centreline_length_mm=78.0,
        ...                              pitch_mm=24.0), 4))
        0.0817
    """
    return np.pi * wire_diameter_mm * centreline_length_mm / pitch_mm / 1000.0


@calculation(
    source="balance of weight and centrifugal force; as for ball mills, Perry's Chemical "
    "Engineers' Handbook, critical speed",
    gives="critical_speed_rpm",
    basis="memory",
    needs={"barrel_diameter_m": POSITIVE},
)
def critical_barrel_speed(*, barrel_diameter_m: Values) -> Values:
    """Speed at which a barrel carries its load round: 60/(2 pi) sqrt(2 g/D).

    Equal to 42.3/sqrt(D) rpm with D in m.

    References: Perry's Chemical Engineers' Handbook, critical speed of mills.

    Example:
        >>> print(round(critical_barrel_speed(barrel_diameter_m=1.0), 1))
        42.3
    """
    return 30.0 / np.pi * np.sqrt(2.0 * 9.80665 / np.asarray(barrel_diameter_m, float))[()]


@calculation(source="share of a speed", gives="barrel_speed_rpm", basis="computed")
def speed_at_ratio(*, critical_speed_rpm: Values, speed_ratio: Values) -> Values:
    """Speed of a barrel as a share of the critical one.

    References: definition; the share that tumbles well is the works' own.
    """
    return critical_speed_rpm * speed_ratio


@calculation(
    source="rate times time",
    gives="surface_loss_g_per_m2",
    basis="computed",
    needs={"loss_rate_g_per_m2h": NOT_NEGATIVE, "time_min": NOT_NEGATIVE},
)
def surface_loss(*, loss_rate_g_per_m2h: Values, time_min: Values) -> Values:
    """Mass that leaves a surface: the works' own rate, from a weighed coupon, times time.

    References: definition of a rate; no published law is carried over to a works' barrel.
    """
    return loss_rate_g_per_m2h * time_min / 60.0


@calculation(
    source="balance of mass at the surface of a round bar",
    gives="wire_diameter_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "surface_loss_g_per_m2": NOT_NEGATIVE},
)
def diameter_after_loss(
    *, wire_diameter_mm: Values, surface_loss_g_per_m2: Values, density_kg_per_m3: Values = 7850.0
) -> Values:
    """Diameter of a bar whose surface lost mass: d - 2 m/rho.

    References: balance of mass; density of steel as EN 1993-1-2:2005, 3.2.2.

    Example:
        >>> print(round(diameter_after_loss(wire_diameter_mm=8.0, surface_loss_g_per_m2=39.25), 4))
        7.99
    """
    return wire_diameter_mm - 2.0 * surface_loss_g_per_m2 / density_kg_per_m3


@calculation(
    source="balance of mass at the surface of a round bar",
    gives="wire_diameter_mm",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "surface_loss_g_per_m2": NOT_NEGATIVE},
)
def diameter_before_loss(
    *, wire_diameter_mm: Values, surface_loss_g_per_m2: Values, density_kg_per_m3: Values = 7850.0
) -> Values:
    """Diameter that a bar must have so that it has ``wire_diameter_mm`` after a loss.

    References: balance of mass; density of steel as EN 1993-1-2:2005, 3.2.2.
    """
    return wire_diameter_mm + 2.0 * surface_loss_g_per_m2 / density_kg_per_m3


@calculation(
    source="surface over surface of a metre, times mass of a metre",
    gives="load_mass_kg",
    basis="computed",
    needs={"treated_surface_m2": POSITIVE, "surface_m2_per_m": POSITIVE},
)
def load_of_surface(
    *, treated_surface_m2: Values, chain_mass_kg_per_m: Values, surface_m2_per_m: Values
) -> Values:
    """Mass of a load of chain that has a surface: thin chain has more of it to the kilogram.

    References: none needed.
    """
    return treated_surface_m2 / surface_m2_per_m * chain_mass_kg_per_m


@calculation(
    source="loads times time",
    gives="machine_time_h",
    basis="computed",
    needs={"length_m": POSITIVE, "chain_mass_kg_per_m": POSITIVE, "load_mass_kg": POSITIVE},
)
def time_of_loads(
    *,
    length_m: Values,
    chain_mass_kg_per_m: Values,
    load_mass_kg: Values,
    time_min: Values,
    handling_time_min: Values = 0.0,
    machines: Values = 1.0,
) -> Values:
    """Hours for all loads of an order, each treated and handled; a part load counts as one.

    References: none needed.

    Example:
        >>> print(time_of_loads(length_m=300.0, chain_mass_kg_per_m=1.4, load_mass_kg=200.0,
        ...                     time_min=15.0, handling_time_min=5.0))
        1.0
    """
    loads = np.ceil(np.asarray(length_m, float) * chain_mass_kg_per_m / load_mass_kg - 1e-9)
    return (loads * (time_min + handling_time_min) / (60.0 * machines))[()]


@calculation(
    source="balance of shot: number over area",
    gives="impacts_per_mm2_per_min",
    basis="computed",
    needs={
        "shot_flow_kg_per_h": NOT_NEGATIVE,
        "shot_diameter_mm": POSITIVE,
        "treated_surface_m2": POSITIVE,
        "hitting_share": (0.0, 1.0),
    },
)
def shot_impacts(
    *,
    shot_flow_kg_per_h: Values,
    shot_diameter_mm: Values,
    treated_surface_m2: Values,
    hitting_share: Values,
    shot_density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Impacts a minute on a square millimetre of the work in the machine.

    Flow over the mass of a ball, pi D³ rho/6, times the share that hits, over the surface.

    References: balance; density of steel shot taken as that of steel.

    Example:
        >>> print(round(shot_impacts(shot_flow_kg_per_h=9000.0, shot_diameter_mm=0.8,
        ...     treated_surface_m2=20.0, hitting_share=0.3), 3))
        1.069
    """
    ball_kg = np.pi / 6.0 * shot_diameter_mm**3 * 1e-9 * shot_density_kg_per_m3
    return shot_flow_kg_per_h / 60.0 / ball_kg * hitting_share / (treated_surface_m2 * 1e6)


@calculation(
    source=_KIRK,
    gives="coverage_percent",
    needs={
        "indent_diameter_mm": NOT_NEGATIVE,
        "impacts_per_mm2_per_min": NOT_NEGATIVE,
        "time_min": NOT_NEGATIVE,
    },
)
def blast_coverage(
    *, indent_diameter_mm: Values, impacts_per_mm2_per_min: Values, time_min: Values
) -> Values:
    """Share of a surface that was hit at least once: C = 100 (1 - exp(-pi r² R t)).

    Impacts fall at random; all leave the same dent. Two passes of coverage C together give
    1 - (1 - C)², as SAE J443 has it. C comes near 100 % and never reaches it.

    References: D. Kirk & M. Y. Abyaneh, Theoretical basis of shot peening coverage control
    (1993); SAE J443, coverage of n passes.

    Example:
        >>> print(round(blast_coverage(indent_diameter_mm=0.25, impacts_per_mm2_per_min=8.0,
        ...                            time_min=10.0), 2))
        98.03
    """
    dent = np.pi / 4.0 * np.asarray(indent_diameter_mm, float) ** 2
    return (-100.0 * np.expm1(-dent * impacts_per_mm2_per_min * time_min))[()]


@calculation(
    source=_KIRK + ", solved for the time",
    gives="blast_time_min",
    basis="computed",
    needs={
        "coverage_percent": (0.0, 99.9999),
        "indent_diameter_mm": POSITIVE,
        "impacts_per_mm2_per_min": POSITIVE,
    },
)
def blast_time(
    *, coverage_percent: Values, indent_diameter_mm: Values, impacts_per_mm2_per_min: Values
) -> Values:
    """Time after which a share of a surface was hit: `blast_coverage` solved for t.

    References: D. Kirk & M. Y. Abyaneh (1993); 98 % counts as full coverage in most
    specifications.

    Example:
        >>> print(round(blast_time(coverage_percent=98.0, indent_diameter_mm=0.25,
        ...                        impacts_per_mm2_per_min=8.0), 2))
        9.96
    """
    dent = np.pi / 4.0 * np.asarray(indent_diameter_mm, float) ** 2
    return (-np.log1p(-np.asarray(coverage_percent, float) / 100.0)
            / (dent * impacts_per_mm2_per_min))[()]  # fmt: skip


@calculation(
    source="mass per area times area",
    gives="mass_kg",
    basis="computed",
    needs={"surface_m2_per_m": POSITIVE, "length_m": POSITIVE},
)
def mass_on_chain(
    *, film_mass_g_per_m2: Values, surface_m2_per_m: Values, length_m: Values
) -> Values:
    """Mass of oil or zinc on a length of chain.

    References: none needed.
    """
    return film_mass_g_per_m2 * surface_m2_per_m * length_m / 1000.0
