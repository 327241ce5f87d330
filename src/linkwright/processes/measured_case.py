"""The works' tables of a case-hardening steel, and what a temper leaves by them.

- `MeasuredCase`: tempering table and crack strains of one steel, arrays with their place
- `Tempered`, `tempered_case`: hardness, strength and crack strain of case and core after a temper
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.catalogue import sourced
from linkwright.materials.case_temper import case_crack_strain, temper_share_by_table
from linkwright.materials.hardness_scales import tensile_strength_from_hardness
from linkwright.processes.models.cased_link import (
    hardness_for_strength,
    strength_over_core,
    tempered_by_share,
)
from linkwright.processes.tempered_strength import strength_of
from linkwright.quantities import CannotPlan
from linkwright.route import Conditions
from linkwright.route.stock import Stock


@dataclass(frozen=True)
class MeasuredCase:
    """Tables of one steel in stock; arrays of its rows."""

    steel: str
    temperature_degC: Any
    time_h: Any
    case_hardness_HV: Any
    core_hardness_HV: Any
    crack_hardness_HV: Any
    crack_strain_percent: Any

    @classmethod
    def of(cls, rod: Any, what: str) -> MeasuredCase:
        """The tables of a rod; raises `CannotPlan` naming what the works file lacks of them."""
        tempers, cracks = getattr(rod, "case_temper", ()), getattr(rod, "case_crack", ())
        lacking = [
            f"[[steel.{name}]]"
            for name, rows in (("case_temper", tempers), ("case_crack", cracks))
            if not rows
        ]
        if lacking:
            raise CannotPlan(
                f"{what} cannot be planned of {rod.name!r} (heat {rod.heat}): the works file gives "
                f"no {' and no '.join(lacking)} of this steel, without which nothing is known of "
                "its case after a temper; accepted: a rod that has them"
            )

        def column(rows: Any, name: str, key: str) -> Any:
            values = np.array([float(getattr(row, key)) for row in rows])
            return sourced(f"table_{name}", values, "file", f"{rows[0].source(key)} and below")

        return cls(
            rod.name,
            column(tempers, "temperature_degC", "temperature_degC"),
            column(tempers, "time_h", "time_h"),
            column(tempers, "case_hardness_HV", "case_hardness_HV"),
            column(tempers, "core_hardness_HV", "core_hardness_HV"),
            column(cracks, "hardness_HV", "case_hardness_HV"),
            column(cracks, "strain_percent", "strain_percent"),
        )

    @property
    def hottest_degC(self) -> float:
        """The hottest temper that was measured."""
        return float(np.max(self.temperature_degC))

    def share(self, temperature_degC: Any, time_h: Any, hardness_HV: Any) -> Any:
        """What a temper leaves of a quenched hardness, by one of the two columns."""
        return temper_share_by_table(
            temperature_degC=temperature_degC,
            time_h=time_h,
            table_temperature_degC=self.temperature_degC,
            table_time_h=self.time_h,
            table_hardness_HV=hardness_HV,
        )


@dataclass(frozen=True)
class Tempered:
    """Case and core after a temper."""

    surface_HV: Any
    core_HV: Any
    core_MPa: Any
    strength_ratio: Any
    crack_strain: Any

    def link(self, chain: Stock) -> dict[str, Any]:
        """Arguments of the link of two metals beside its sizes."""
        return {
            "tensile_strength_MPa": self.core_MPa,
            "case_depth_mm": chain["case_depth_mm"],
            "case_strength_ratio": self.strength_ratio,
            "case_crack_strain": self.crack_strain,
        }


def tempered_case(
    chain: Stock,
    table: MeasuredCase,
    temperature_degC: Any,
    time_h: Any,
    factors: Conditions,
    hardness_factor: Any,
    crack_factor: Any,
) -> Tempered:
    """Case and core of quenched chain after a temper, by the works' tables and its factors."""
    surface = tempered_by_share(
        quenched_HV=chain["surface_hardness_HV"],
        temper_share=table.share(temperature_degC, time_h, table.case_hardness_HV),
        factor=hardness_factor,
    )
    core = tempered_by_share(
        quenched_HV=chain["core_hardness_HV"],
        temper_share=table.share(temperature_degC, time_h, table.core_hardness_HV),
        factor=hardness_factor,
    )
    core_MPa = strength_of(core, factors)
    case_MPa = tensile_strength_from_hardness(
        hardness_HV=hardness_for_strength(hardness_HV=surface)
    )
    crack = case_crack_strain(
        case_hardness_HV=surface,
        table_hardness_HV=table.crack_hardness_HV,
        table_strain_percent=table.crack_strain_percent,
        factor=crack_factor,
    )
    ratio = strength_over_core(case_strength_MPa=case_MPa, core_strength_MPa=core_MPa)
    return Tempered(surface, core, core_MPa, ratio, crack)
