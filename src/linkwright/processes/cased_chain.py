"""What a case on a link changes at calibrator and test bench, from the fields that the temper left.

- `with_case`: a factor of the link model, times what the case does to it
- `proved_findings`: strain of the surface at the proof force, against that at which it cracks
- `elongation_findings`: how far the chain stretches until its case cracks
- `cased_note`: what is to be said beside a result of the link model

Chain without a case has none of these fields, and nothing is changed.
"""

from __future__ import annotations

from typing import Any

from linkwright.catalogue import sourced
from linkwright.materials.case_temper import strain_over_crack
from linkwright.processes.models.cased_link import (
    case_factor,
    corrected_strain,
    extension_in_percent,
    strain_at_force,
    strain_in_percent,
)
from linkwright.route import Conditions, Factor, Finding, Machine
from linkwright.route.stock import Stock

_MOST = "greatest_case_strain_ratio"
STRAIN = Factor(
    "factor/calibrating/case_strain",
    1.2,
    0.10,
    "works' own factor on the strain of the surface by the beam model, not yet learned: 1.2 and a "
    "band of 10 % from one link by finite elements, with a case and without (docs/models/heat.md)",
    "strain gauges on crown and leg of 3 links up to the proof force",
)


def with_case(field: str, factor: Any, chain: Stock | None) -> Any:
    """A factor times the ratio that the case gives; as it is where there is no case."""
    if chain is None or field not in chain:
        return factor
    return case_factor(factor=factor, case_ratio=chain[field])


def proved_findings(
    chain: Stock, force_kN: Any, machine: Machine, factors: Conditions
) -> tuple[Finding, ...]:
    """Whether the case is whole after the proof force."""
    if "proved_strain" not in chain:
        return ()
    strain = corrected_strain(
        strain=strain_at_force(
            force_kN=force_kN,
            proved_force_kN=chain["proved_force_kN"],
            proved_strain=chain["proved_strain"],
            exponent=chain["proved_strain_exponent"],
        ),
        factor=factors.factor(STRAIN.name),
    )
    ratio = strain_over_crack(strain=strain, crack_strain=chain["case_crack_strain"])
    held = _MOST in machine.held
    most = machine.held[_MOST] if held else sourced(_MOST, 1.0, "table", "1 cracks: definition")
    return (
        Finding("surface_strain_percent", strain_in_percent(strain=strain),
                note="greatest at the proof force, along the wire; not below the neighbour"),
        Finding("case_crack_strain_percent", strain_in_percent(strain=chain["case_crack_strain"])),
        Finding("case_strain_ratio", ratio, None, most,
                "held by the works: the case whole after the proof" if held
                else "the case whole after the proof"),
    )  # fmt: skip


def elongation_findings(chain: Stock) -> tuple[Finding, ...]:
    """Elongation at which the case first cracks when a sample is broken."""
    if "extension_at_crack_mm" not in chain:
        return ()
    found = extension_in_percent(
        extension_mm=chain["extension_at_crack_mm"], pitch_mm=chain["pitch_mm"]
    )
    return (
        Finding(
            "elongation_at_case_crack_percent",
            found,
            note="from there on cracks notch the core, which the elongation at break leaves out",
        ),
    )


def cased_note(name: str, chain: Stock) -> str:
    """A note on a finding that holds less surely for chain with a case; else none."""
    if "extension_at_crack_mm" not in chain:
        return ""
    return _NOTES.get(name, "")


_NOTES = {
    "total_elongation_percent": "too high: cracks of the case as notches of the core are left out",
    "hardness_HV": "of the surface",
}
