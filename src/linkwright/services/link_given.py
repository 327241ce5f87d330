"""What is asked of one link under load: texts and numbers read, the steel made ready.

Offers `given_link`, `GivenLink`, `DEFAULTS`.

The steel is given in one of three ways: by its tensile strength, by a hardness (with the name
of the steel, which is then held against what it can reach), or by a name alone, which is taken
as annealed rod with its published flow curve.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linkwright.materials.ductile_fracture import (
    FractureLimits,
    TEMPERED_MPa,
    fracture_limits,
    reduction_of_area_tempered,
)
from linkwright.materials.flow_curves import hollomon_constants
from linkwright.materials.hardenability import martensite_hardness_by_carbon
from linkwright.materials.hardness_scales import hardness_iso18265, tensile_strength_from_hardness
from linkwright.materials.steels import steel
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_stud import Stud
from linkwright.mechanics.solid_weld import SOUND, Weld
from linkwright.quantities import ArgumentError, InputErrors, Problem
from linkwright.services.given_numbers import Accepted, read_numbers

DEFAULTS: Mapping[str, float] = {
    "hardening_exponent": 0.06,
    "prestrain": 0.005,
    "elastic_modulus_GPa": 205.0,
    "friction_coefficient": 0.0,
    "weld_bulge_percent": 0.0,
    "weld_undercut_percent": 0.0,
    "weld_strength_percent": 100.0,
    "welded_legs": 1.0,
    "stud_squeeze_mm": 0.0,
    "weld_ductility_percent": 50.0,
    "fall_percent": 1.0,
}
"""What is taken where nothing is given; the ductility of the weld is an assumption."""
_NEEDED = ("wire_diameter_mm", "pitch_mm", "inner_width_mm")
_OF_STEEL = ("tensile_strength_MPa", "hardness_HV")
_OPTIONAL = (
    *DEFAULTS, "crown_radius_mm", "proof_force_kN", "reduction_of_area_percent", "weld_zone_mm",
    "stud_diameter_mm",
)  # fmt: skip
_TAKEN = {name: value for name, value in DEFAULTS.items() if name != "hardening_exponent"}
"""The exponent is that of the steel's own curve where a steel is named."""
_ACCEPTED = Accepted(
    may_be_zero=frozenset({"friction_coefficient", "weld_bulge_percent", "weld_undercut_percent"}),
    may_be_negative=frozenset({"weld_bulge_percent", "stud_squeeze_mm"}),
    greatest={"weld_ductility_percent": 100.0, "fall_percent": 50.0},
)


@dataclass(frozen=True)
class GivenLink:
    """A link with its steel, ready to be pulled."""

    values: Mapping[str, float | str | None]
    """All that was given or taken, in the units of the keys; ``None`` for what was left out."""
    geometry: LinkGeometry
    curve: SwiftCurve
    limits: FractureLimits
    steel_as: str
    """How the steel was taken, in words."""
    area_as: str
    """Where the reduction of area comes from, in words."""

    def number(self, name: str) -> float:
        """A value in the unit of its key; 0 for one that was left out."""
        return float(self.values[name] or 0.0)

    @property
    def weld(self) -> Weld:
        """The weld; one that nothing tells from the wire makes a link whose legs are alike."""
        zone = self.number("weld_zone_mm")
        made = Weld(
            one_leg=self.number("welded_legs") == 1,
            bulge=self.number("weld_bulge_percent") / 100,
            undercut=self.number("weld_undercut_percent") / 100,
            zone_strength=self.number("weld_strength_percent") / 100,
            zone_length_mm=zone if zone > 0 else None,
        )
        return made if made.differs else SOUND

    @property
    def stud(self) -> Stud | None:
        """A stud between the legs, of the modulus of the link."""
        diameter = self.number("stud_diameter_mm")
        if diameter == 0.0:
            return None
        return Stud(diameter, self.number("elastic_modulus_GPa"), self.number("stud_squeeze_mm"))

    @property
    def weld_share(self) -> float:
        """Share of the limits of fracture that is left at the weld."""
        return self.number("weld_ductility_percent") / 100


def given_link(values: Mapping[str, str | float | None]) -> GivenLink:
    """Read what was asked; ``steel`` is a name, all else texts with units or numbers.

    Raises `InputErrors` with all wrong values at once, `UnknownName` for a steel that is not
    held, `ArgumentError` for sizes that make no link or a hardness that the steel cannot reach.
    """
    number = _numbers(values)
    name = values.get("steel")
    known = None if name is None else steel(str(name))
    curve, steel_as = _curve(number, None if known is None else known.name)
    geometry = LinkGeometry(
        number["wire_diameter_mm"],
        number["pitch_mm"],
        number["inner_width_mm"] + 2 * number["wire_diameter_mm"],
        number.get("crown_radius_mm"),
    )
    strength = float(curve.tensile_strength_MPa)
    area, area_as = _area(number.get("reduction_of_area_percent"), strength)
    limits = fracture_limits(
        reduction_of_area_percent=area,
        hardening_exponent=curve.hardening_exponent,
        prestrain=curve.prestrain,
    )
    told = {key: number.get(key) for key in (*_NEEDED, *_OF_STEEL, *_OPTIONAL)} | {
        "tensile_strength_MPa": strength,
        "hardening_exponent": float(curve.hardening_exponent),
        "reduction_of_area_percent": area,
    }
    steel_name = None if known is None else known.name
    return GivenLink({**told, "steel": steel_name}, geometry, curve, limits, steel_as, area_as)


def _numbers(values: Mapping[str, str | float | None]) -> dict[str, float]:
    """All numbers in the units of their keys, with the defaults."""
    made, problems = read_numbers(
        values, (*_NEEDED, *_OF_STEEL, *_OPTIONAL), needed=_NEEDED, defaults=_TAKEN,
        accepted=_ACCEPTED,
    )  # fmt: skip
    if made.get("welded_legs", 1.0) not in (1.0, 2.0):
        problems.append(
            Problem("value", "a link has two legs", key="welded_legs", accepted="1 or 2")
        )
    if made.get("stud_squeeze_mm") and "stud_diameter_mm" not in made:
        problems.append(
            Problem("value", "has no stud", key="stud_squeeze_mm", accepted="beside a stud")
        )
    problems += _of_the_steel(values)
    if problems:
        raise InputErrors(problems)
    return made


def _of_the_steel(values: Mapping[str, str | float | None]) -> list[Problem]:
    """One way of giving the steel and no two."""
    given = [name for name in ("steel", *_OF_STEEL) if values.get(name) is not None]
    ways = "a tensile strength, a hardness (with or without a steel), or a steel"
    if not given:
        return [Problem("missing-key", "is missing", key="tensile_strength_MPa", accepted=ways)]
    if "tensile_strength_MPa" in given and len(given) > 1:
        others = " and ".join(name for name in given if name != "tensile_strength_MPa")
        text = f"stands beside {others}"
        return [Problem("value", text, key="tensile_strength_MPa", accepted=ways)]
    return []


def _curve(number: Mapping[str, float], name: str | None) -> tuple[SwiftCurve, str]:
    """The flow curve and how it came about."""
    exponent = number.get("hardening_exponent")
    prestrain, modulus = number["prestrain"], number["elastic_modulus_GPa"]
    hardness = number.get("hardness_HV")
    if name is not None and hardness is None:
        annealed = hollomon_constants(material=steel(name).flow_curve)
        n = float(annealed.n) if exponent is None else exponent
        row = f"{name} as annealed rod, flow curve of {steel(name).flow_curve}"
        return SwiftCurve(float(annealed.K_MPa), n, prestrain, modulus), row
    if hardness is None:
        strength, said = number["tensile_strength_MPa"], "steel by its tensile strength"
    else:
        if name is not None:
            _must_be_reached(name, hardness)
        strength = float(tensile_strength_from_hardness(hardness_HV=hardness))
        said = f"{name or 'steel'} of {hardness:g} HV, strength after ISO 18265"
    n = DEFAULTS["hardening_exponent"] if exponent is None else exponent
    return SwiftCurve.of_strength(strength, n, prestrain, modulus), said


def _area(given: float | None, strength_MPa: float) -> tuple[float, str]:
    """Reduction of area, and where it comes from."""
    if given is not None:
        return given, "given"
    greatest = TEMPERED_MPa[1]
    if strength_MPa > greatest:
        text = f"beside a strength of {strength_MPa:.0f} MPa: no table reaches beyond {greatest:g}"
        problem = Problem("missing-key", f"is missing {text}", key="reduction_of_area_percent")
        raise InputErrors([problem])
    area = float(reduction_of_area_tempered(tensile_strength_MPa=strength_MPa))
    return area, "by strength, as of hardened and tempered steel"


def _must_be_reached(name: str, hardness_HV: float) -> None:
    """A steel gets no harder than martensite of its carbon."""
    carbon = steel(name).analysis()["C_percent"]
    scale = martensite_hardness_by_carbon(carbon_percent=carbon)
    greatest = float(hardness_iso18265(hardness_HRC=scale).hardness_HV)
    if hardness_HV > greatest:
        raise ArgumentError(
            "hardness_HV", hardness_HV, "HV",
            f"at most {greatest:.0f} HV, martensite of {carbon:g} % carbon in {name}",
        )  # fmt: skip
