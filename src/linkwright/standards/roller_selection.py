"""Factors for choosing a roller chain drive, and the lubrication that it needs.

- `iso10823_application_factors`, `iso10823_application_factor`, `iso10823_tooth_factor`,
  `iso10823_corrected_power`: ISO 10823
- `roller_service_factors`, `roller_service_factor`: American Chain Association
- `combined_service_factor`: Khurmi and Gupta
- `lubrication_speed_limits`: greatest chain speeds by type of lubrication
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import UnknownName, convert
from linkwright.standards.reader import published_table
from linkwright.standards.roller_chain import ansi_row

_ISO = "ISO 10823:2004, Guidelines for the selection of roller chain drives"
_TEETH = (5.0, None)


class ApplicationFactors(NamedTuple):
    """Results of `iso10823_application_factors`, by the shocks of the driver."""

    application_factor_driver_smooth: Values
    application_factor_driver_slight_shocks: Values
    application_factor_driver_moderate_shocks: Values


class ServiceFactors(NamedTuple):
    """Results of `roller_service_factors`, by prime mover."""

    service_factor_engine_hydraulic: Values
    service_factor_electric_motor: Values
    service_factor_engine_mechanical: Values


class DesignPower(NamedTuple):
    """Results of `combined_service_factor`."""

    service_factor: Values
    design_power_kW: Values


class CorrectedPower(NamedTuple):
    """Results of `iso10823_corrected_power`."""

    application_factor: Values
    tooth_factor: Values
    corrected_power_kW: Values


class LubricationLimits(NamedTuple):
    """Results of `lubrication_speed_limits`."""

    greatest_speed_type_a_m_per_s: Values
    greatest_speed_type_b_m_per_s: Values


@calculation(source=f"{_ISO}, table of application factors f1", basis="memory")
def iso10823_application_factors(*, driven_machine: str) -> ApplicationFactors:
    """Application factors f1 of a driven machine for the three kinds of driver.

    Driver: smooth (electric motors, turbines, engines with hydraulic coupling), slight shocks
    (engines with six and more cylinders and mechanical coupling, motors that start often),
    moderate shocks (engines with fewer cylinders and mechanical coupling).

    Args:
        driven_machine: "smooth", "moderate shocks" or "heavy shocks".

    Raises:
        UnknownName: another kind of machine.

    References: ISO 10823:2004, remembered.

    Example:
        >>> iso10823_application_factors(driven_machine="smooth")[0]
        1.0
    """
    cells = published_table("iso10823_application").row(driven_machine, "driven_machine").cells
    return ApplicationFactors(
        *(float(cells[name]) for name in ("smooth", "slight_shocks", "moderate_shocks"))
    )


@calculation(
    source=f"{_ISO}, table of application factors f1", gives="application_factor", basis="memory"
)
def iso10823_application_factor(*, driven_machine: str, driver: str = "smooth") -> Values:
    """Application factor f1 of a driven machine with one kind of driver.

    Args:
        driven_machine: "smooth", "moderate shocks" or "heavy shocks".
        driver: "smooth", "slight shocks" or "moderate shocks".

    Raises:
        UnknownName: another kind of machine or driver.

    References: ISO 10823:2004, remembered; see `iso10823_application_factors`.

    Example:
        >>> iso10823_application_factor(driven_machine="heavy shocks", driver="slight shocks")
        1.9
    """
    return _cell("iso10823_application", "driven_machine", driven_machine, "driver", driver)


@calculation(
    source=f"{_ISO}, tooth factor f2",
    gives="tooth_factor",
    needs={"teeth_small": _TEETH},
    basis="memory",
)
def iso10823_tooth_factor(*, teeth_small: Values) -> Values:
    """Tooth factor f2 = (19/z1)^1.08 on the power, for charts that hold for 19 teeth.

    References: ISO 10823:2004, remembered.

    Example:
        >>> round(iso10823_tooth_factor(teeth_small=25), 4)
        0.7435
    """
    return (19.0 / teeth_small) ** 1.08


@calculation(
    source=f"{_ISO}, corrected power",
    needs={"power_kW": POSITIVE, "teeth_small": _TEETH},
    basis="memory",
)
def iso10823_corrected_power(
    *, power_kW: Values, teeth_small: Values, driven_machine: str, driver: str = "smooth"
) -> CorrectedPower:
    """Corrected power Pc = P f1 f2, with which the charts of ISO 10823 are entered.

    Args:
        power_kW: Power to be transmitted.
        teeth_small: Teeth of the small sprocket.
        driven_machine: "smooth", "moderate shocks" or "heavy shocks".
        driver: "smooth", "slight shocks" or "moderate shocks".

    Raises:
        UnknownName: another kind of machine or driver.

    References: ISO 10823:2004, remembered.

    Example:
        >>> found = iso10823_corrected_power(
        ...     power_kW=10.0, teeth_small=19, driven_machine="moderate shocks"
        ... )
        >>> found.corrected_power_kW
        14.0
    """
    application = iso10823_application_factor(driven_machine=driven_machine, driver=driver)
    tooth = iso10823_tooth_factor(teeth_small=teeth_small)
    return CorrectedPower(application, tooth, power_kW * application * tooth)


@calculation(
    source="Machinery's Handbook, Roller Chain Drive Service Factors; American Chain Association",
    basis="memory",
)
def roller_service_factors(*, load_kind: str) -> ServiceFactors:
    """Service factors of a roller chain drive by prime mover.

    Internal combustion engine with hydraulic drive, electric motor or turbine, internal combustion
    engine with mechanical drive.

    Args:
        load_kind: "smooth", "moderate shock" or "heavy shock".

    Raises:
        UnknownName: another kind of load.

    References: Machinery's Handbook, Roller Chain Drive Service Factors.

    Example:
        >>> roller_service_factors(load_kind="heavy shock").service_factor_electric_motor
        1.5
    """
    cells = published_table("roller_service_factor").row(load_kind, "load_kind").cells
    return ServiceFactors(
        *(
            float(cells[name])
            for name in ("engine_hydraulic", "electric_motor", "engine_mechanical")
        )
    )


@calculation(
    source="Machinery's Handbook, Roller Chain Drive Service Factors; American Chain Association",
    gives="service_factor",
    basis="memory",
)
def roller_service_factor(*, load_kind: str, prime_mover: str = "electric motor") -> Values:
    """Service factor of a roller chain drive for one prime mover.

    Args:
        load_kind: "smooth", "moderate shock" or "heavy shock".
        prime_mover: "engine hydraulic", "electric motor" or "engine mechanical".

    Raises:
        UnknownName: another kind of load or prime mover.

    References: Machinery's Handbook; see `roller_service_factors`.

    Example:
        >>> roller_service_factor(load_kind="heavy shock", prime_mover="engine mechanical")
        1.7
    """
    return _cell("roller_service_factor", "load_kind", load_kind, "prime_mover", prime_mover)


@calculation(
    source="R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, 2005, section 21.14",
    needs={
        "power_kW": POSITIVE,
        "load_factor": POSITIVE,
        "lubrication_factor": POSITIVE,
        "rating_factor": POSITIVE,
    },
)
def combined_service_factor(
    *, power_kW: Values, load_factor: Values, lubrication_factor: Values, rating_factor: Values
) -> DesignPower:
    """Service factor as a product of load, lubrication and hours, and the design power.

    Ks = K1 K2 K3, design power = P Ks.

    References: Khurmi and Gupta, 2005, Example 21.1.

    Example:
        >>> combined_service_factor(
        ...     power_kW=15.0, load_factor=1.5, lubrication_factor=1.0, rating_factor=1.25
        ... ).design_power_kW
        28.125
    """
    factor = load_factor * lubrication_factor * rating_factor
    return DesignPower(factor, power_kW * factor)


@calculation(
    source="American Chain Association, Chains for Power Transmission and Material Handling, "
    "limiting chain speeds of lubrication types",
    basis="memory",
)
def lubrication_speed_limits(*, chain_number: str) -> LubricationLimits:
    """Greatest chain speeds for lubrication of type A and type B; faster chains need type C.

    Type A by hand or drip, type B oil bath or slinger disc, type C oil stream from a pump.

    Args:
        chain_number: ANSI number or that of the same chain in ISO 606 ("80", "16A").

    Raises:
        UnknownName: a chain that the table does not list (series B is not held).

    References: American Chain Association, remembered.

    Example:
        >>> round(lubrication_speed_limits(chain_number="80").greatest_speed_type_b_m_per_s, 2)
        7.49
    """
    chain = str(ansi_row(chain_number).cells["chain_number"]).removesuffix("H")
    cells = published_table("roller_lubrication").row(chain, "chain_number").cells
    return LubricationLimits(
        *(
            convert(float(cells[f"greatest_speed_type_{kind}_ft_per_min"]), "ft_per_min", "m_per_s")
            for kind in "ab"
        )
    )


def _cell(table: str, key: str, name: str, across: str, column: str) -> float:
    """The cell in the row ``name`` and in the column of that title, spaces as underscores."""
    row = published_table(table).row(name, key)
    titles = [title for title in row.cells if title != key]
    wanted = "_".join(str(column).lower().split())
    if wanted not in titles:
        raise UnknownName(across, str(column), [title.replace("_", " ") for title in titles])
    return float(row.cells[wanted])
