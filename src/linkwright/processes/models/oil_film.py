"""Oil that stays on a surface which was lifted out of a bath and drains.

- `dipped_film`, `drained_film`, `film_mass`: the thinner of the two films stays
- `draining_time`: backwards from the mass wanted
- `draining_length`: height of the wall on hanging chain
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation


@calculation(
    source="L. Landau & B. Levich, Acta Physicochimica URSS 17 (1942) 42-54",
    gives="film_thickness_um",
    basis="memory",
    needs={
        "oil_viscosity_mPa_s": POSITIVE,
        "lifting_speed_m_per_s": POSITIVE,
        "oil_density_kg_per_m3": POSITIVE,
        "surface_tension_N_per_m": POSITIVE,
    },
)
def dipped_film(
    *,
    oil_viscosity_mPa_s: Values,
    lifting_speed_m_per_s: Values,
    oil_density_kg_per_m3: Values,
    surface_tension_N_per_m: Values,
) -> Values:
    """Film that a surface lifted out of a bath carries: 0.944 (mu U)^(2/3)/(s^(1/6) (rho g)^(1/2)).

    For a flat wall and slow lifting, mu U/s far below 1; a wire thinner than the capillary
    length (about 2 mm in oil) carries less.

    References: L. Landau & B. Levich (1942).

    Example:
        >>> print(round(dipped_film(oil_viscosity_mPa_s=40.0, lifting_speed_m_per_s=0.05,
        ...     oil_density_kg_per_m3=870.0, surface_tension_N_per_m=0.030), 1))
        291.0
    """
    drag = oil_viscosity_mPa_s * 1e-3 * np.asarray(lifting_speed_m_per_s, float)
    weight = 9.80665 * np.asarray(oil_density_kg_per_m3, float)
    tension = np.asarray(surface_tension_N_per_m, float)
    return (0.944e6 * drag ** (2.0 / 3.0) / (tension ** (1.0 / 6.0) * np.sqrt(weight)))[()]


@calculation(
    source="H. Jeffreys, Proceedings of the Cambridge Philosophical Society 26 (1930) 204-205",
    gives="film_thickness_um",
    basis="memory",
    needs={
        "oil_viscosity_mPa_s": POSITIVE,
        "draining_length_m": POSITIVE,
        "draining_time_s": POSITIVE,
        "oil_density_kg_per_m3": POSITIVE,
    },
)
def drained_film(
    *,
    oil_viscosity_mPa_s: Values,
    draining_length_m: Values,
    draining_time_s: Values,
    oil_density_kg_per_m3: Values,
) -> Values:
    """Mean film on a wall of a length that drained for a time: 2/3 sqrt(mu L/(rho g t)).

    At a depth z below the top the film is sqrt(mu z/(rho g t)); its mean over L is two thirds
    of that at L. Holds once the film that was lifted has run off: the smaller of this and
    `dipped_film` stays. On a link the wall is about its outer length high.

    References: H. Jeffreys, The draining of a vertical plate (1930).

    Example:
        >>> print(round(drained_film(oil_viscosity_mPa_s=40.0, draining_length_m=0.04,
        ...     draining_time_s=600.0, oil_density_kg_per_m3=870.0), 2))
        11.79
    """
    weight = 9.80665 * np.asarray(oil_density_kg_per_m3, float)
    mean = np.sqrt(oil_viscosity_mPa_s * 1e-3 * draining_length_m / (weight * draining_time_s))
    return (2.0 / 3.0 * 1e6 * mean)[()]


@calculation(
    source="H. Jeffreys, Proceedings of the Cambridge Philosophical Society 26 (1930) 204-205, "
    "solved for the time",
    gives="draining_time_s",
    basis="memory",
    needs={"film_mass_g_per_m2": POSITIVE, "draining_length_m": POSITIVE},
)
def draining_time(
    *,
    film_mass_g_per_m2: Values,
    oil_viscosity_mPa_s: Values,
    draining_length_m: Values,
    oil_density_kg_per_m3: Values,
) -> Values:
    """Time after which a draining film has a mass on a square metre: `drained_film` solved for t.

    References: H. Jeffreys, The draining of a vertical plate (1930).

    Example:
        >>> print(round(draining_time(film_mass_g_per_m2=10.26, oil_viscosity_mPa_s=40.0,
        ...     draining_length_m=0.04, oil_density_kg_per_m3=870.0)))
        599
    """
    thickness = 1e-3 * np.asarray(film_mass_g_per_m2, float) / oil_density_kg_per_m3
    drag = oil_viscosity_mPa_s * 1e-3 * draining_length_m / (9.80665 * oil_density_kg_per_m3)
    return (drag * (2.0 / 3.0 / thickness) ** 2)[()]


@calculation(
    source="outer length of a link", gives="draining_length_m", basis="computed",
    needs={"pitch_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
)  # fmt: skip
def draining_length(*, pitch_mm: Values, wire_diameter_mm: Values) -> Values:
    """Height of the wall from which oil drains on hanging chain: the outer length of a link.

    References: geometry; oil that waits where links touch is not in it.
    """
    return (pitch_mm + 2.0 * wire_diameter_mm) / 1000.0


@calculation(
    source="thickness times density; the thinner of the two films stays",
    gives="film_mass_g_per_m2",
    basis="computed",
    needs={"dipped_film_um": POSITIVE, "drained_film_um": POSITIVE},
)
def film_mass(
    *, dipped_film_um: Values, drained_film_um: Values, oil_density_kg_per_m3: Values
) -> Values:
    """Mass of oil on a square metre: density times the thinner of the two films.

    References: none needed.
    """
    return np.minimum(dipped_film_um, drained_film_um) * oil_density_kg_per_m3 / 1000.0
