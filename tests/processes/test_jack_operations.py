"""Operations of jack chain by themselves: passes of drawing, eyes, packing."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from linkwright.materials.flow_curves import hollomon_constants
from linkwright.materials.flow_fits import hollomon_from_tensile
from linkwright.processes.drawing import Drawing
from linkwright.processes.drawing_passes import die_names
from linkwright.processes.jack_forming import JackForming
from linkwright.processes.models.packages import package_length
from linkwright.processes.packing import Packing
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.route import MAIN, Conditions, Stock

DRAWING = {
    "die_half_angle_deg": 6.0, "friction_coefficient": 0.07, "drawing_speed_m_per_s": 4.0,
    "drive_efficiency": 0.85, "greatest_stress_ratio": 0.6, "greatest_reduction_percent": 22.0,
    "greatest_total_true_strain": 2.6, "wire_density_kg_per_m3": 7850.0,
    "wire_specific_heat_J_per_kgK": 460.0,
}  # fmt: skip
FORMING = {
    "links_per_min": 55.0, "feed_speed_m_per_s": 0.35, "greatest_feed_share": 0.4,
    "entry_play_mm": 0.3, "arm_mm": 9.0, "greatest_true_strain": 0.4, "E_MPa": 206000.0,
}  # fmt: skip
SIZES = {
    "wire_diameter_mm": 2.68, "eye_inner_diameter_mm": 6.3, "pitch_mm": 21.4, "eye_gap_mm": 0.54,
}  # fmt: skip


@dataclass
class Bench:
    """A machine without a file."""

    held: dict[str, float]
    rate: dict[str, float] = field(default_factory=lambda: {"connected_power_kW": 60.0})
    spread: dict[str, float] = field(default_factory=dict)
    range: dict[str, tuple[float, float]] = field(default_factory=dict)
    name: str = "bench"
    many: float = 2.0

    def limits(self, key: str) -> tuple[float | None, float | None]:
        return self.range.get(key, (None, None))


def nominal(*operations: Any) -> Conditions:
    return Conditions(
        {one.name: one for operation in operations for one in operation.scatter},
        {one.name: one for operation in operations for one in operation.factors},
    )


def rod(diameter: float = 5.5) -> Stock:
    n = hollomon_constants(material="low-carbon steel, annealed").n
    K = hollomon_from_tensile(tensile_strength_MPa=365.0, n=n)
    return Stock(
        "rod", "low carbon", {"wire_diameter_mm": diameter},
        {"K_MPa": K, "n": n, "tensile_strength_MPa": 365.0},
        {"wire_length_m": 5000.0, "links": 94000.0, "length_m": 2011.6},
    )  # fmt: skip


def drawn(wire: float, bench: Any = None, given: dict[str, float] | None = None) -> Any:
    operation = Drawing()
    machine: Any = bench or Bench(DRAWING, range={"passes": (1.0, 12.0)})
    stocks, wanted = {MAIN: rod()}, {"wire_diameter_mm": wire}
    set_up = operation.set_up(stocks, wanted, machine, nominal(operation), given or {})
    return set_up, operation.run(stocks, set_up, machine, nominal(operation))


@pytest.mark.parametrize(("wire", "passes"), [(5.0, 1), (4.88, 1), (2.68, 6), (1.5875, 11)])
def test_as_few_passes_as_the_limits_let(wire: float, passes: int) -> None:
    """No pass breaks the reduction limit, and one pass fewer would (all passes alike)."""
    set_up, step = drawn(wire)
    assert set_up["passes"] == passes
    reduction = 1.0 - (wire / 5.5) ** (2.0 / passes)
    assert reduction <= 0.22
    assert passes == 1 or 1.0 - (wire / 5.5) ** (2.0 / (passes - 1)) > 0.22
    ratios = [step.finding(f"{prefix}drawing_stress_ratio").value for prefix in prefixes(passes)]
    assert max(ratios) <= 0.6


def prefixes(passes: int) -> list[str]:
    return [*(f"pass_{i}_" for i in range(1, passes)), ""]


def test_the_stress_ratio_can_ask_for_more_passes_than_the_reduction() -> None:
    """A works that keeps farther from breaking draws in more passes."""
    strict = Bench({**DRAWING, "greatest_stress_ratio": 0.3}, range={"passes": (1.0, 12.0)})
    assert drawn(2.68, strict)[0]["passes"] > 6


def test_a_machine_with_too_few_dies_says_so() -> None:
    """The sentence names rod, wire and what would help."""
    few = Bench(DRAWING, range={"passes": (1.0, 4.0)})
    with pytest.raises(CannotPlan, match=r"4 passes: too few to draw 5.5 mm rod to 2.68 mm"):
        drawn(2.68, few)


def test_dies_are_a_row_of_equal_strain_down_to_the_wire() -> None:
    """Diameters fall by one ratio; the last is the wire wanted."""
    set_up, step = drawn(2.68)
    dies = np.array([5.5, *(set_up[name] for name in die_names(6))])
    ratios = dies[1:] / dies[:-1]
    assert ratios == pytest.approx(ratios[0], rel=1e-12)
    assert dies[-1] == 2.68
    assert step.stock["prestrain"] == pytest.approx(2.0 * np.log(5.5 / 2.68), rel=1e-12)


def test_the_wire_hardens_from_pass_to_pass_and_the_drums_run_faster() -> None:
    """Stress and power rise along the row; the first pass is that of annealed rod."""
    _, step = drawn(2.68)
    stress = [step.finding(f"{prefix}drawing_stress_MPa").value for prefix in prefixes(6)]
    power = [step.finding(f"pass_{i}_drum_power_kW").value for i in range(1, 7)]
    assert np.all(np.diff(stress) > 0.0)
    assert step.finding("drum_power_kW").value == pytest.approx(sum(power))
    force = step.finding("drawing_force_N").value
    assert power[-1] == pytest.approx(force * 4.0 / 0.85 / 1000.0)


def test_one_pass_is_the_published_pass() -> None:
    """With a single die the stress is Schey's for annealed rod."""
    from linkwright.processes.models.drawing_stress import drawing_stress_schey

    _, step = drawn(5.0)
    schey = drawing_stress_schey(
        start_diameter_mm=5.5, final_diameter_mm=5.0, die_half_angle_deg=6.0,
        friction_coefficient=0.07, K_MPa=rod()["K_MPa"], n=rod()["n"],
    )  # fmt: skip
    assert step.finding("drawing_stress_MPa").value == pytest.approx(
        schey.drawing_stress_MPa, rel=1e-12
    )


def test_dies_outside_the_machine_are_refused() -> None:
    """The range of dies holds for every die of the row."""
    coarse = Bench(DRAWING, range={"passes": (1.0, 12.0), "die_diameter_mm": (3.0, 6.0)})
    with pytest.raises(
        CannotPlan, match=r"cannot hold die_diameter_mm = 2.68: its range is 3.0 to 6.0"
    ):
        drawn(2.68, coarse)


def test_given_passes_are_taken_as_they_stand() -> None:
    """An order may ask for more passes; half a pass is refused."""
    assert drawn(2.68, given={"passes": 8.0})[0]["die_diameter_mm"] == 2.68
    with pytest.raises(CannotPlan, match="no whole number of dies"):
        drawn(2.68, given={"passes": 2.5})


def formed(given: dict[str, float] | None = None) -> tuple[Any, Any]:
    operation = JackForming()
    machine: Any = Bench(FORMING)
    conditions = nominal(operation)
    asked = operation.ask(SIZES, None, machine, conditions)[MAIN]
    piece = rod().changed(
        "piece",
        shape={**asked, "lot_wire_diameter_mm": asked["wire_diameter_mm"]},
        condition={"prestrain": 1.44, "yield_MPa": 740.0},
    )
    set_up = operation.set_up({MAIN: piece}, SIZES, machine, conditions, given or {})
    return set_up, operation.run({MAIN: piece}, set_up, machine, conditions)


def test_the_link_comes_out_as_wanted() -> None:
    """Finger, neck and cut length together give eye, gap and pitch after springback."""
    set_up, step = formed()
    assert set_up["finger_radius_mm"] < 3.15
    stock = step.stock
    for which in ("first", "second"):
        inner = stock[f"{which}_eye_mean_diameter_mm"] - 2.68
        assert inner == pytest.approx(6.3, rel=1e-9)
        assert stock[f"{which}_gap_mm"] == pytest.approx(0.54, abs=1e-8)
    assert stock["pitch_mm"] == pytest.approx(21.4, rel=1e-9)


def test_both_bends_lay_the_whole_eye_on_the_finger() -> None:
    """C-bend and closing bend together are the wire of an eye over the loaded radius."""
    set_up, step = formed()
    loaded = set_up["finger_radius_mm"] + 1.34
    wire = (step.stock["cut_length_mm"] - step.stock["neck_length_mm"]) / 2.0
    bends = set_up["c_bend_angle_deg"] + set_up["closing_angle_deg"]
    assert bends == pytest.approx(np.degrees(wire / loaded), rel=1e-9)
    assert step.finding("c_opening_mm").value == pytest.approx(2.68 + 0.3, rel=1e-6)


def test_a_larger_finger_opens_the_gap() -> None:
    """The wire is cut already, so a wider eye closes less."""
    _, wanted = formed()
    _, wide = formed({"finger_radius_mm": 3.2})
    assert wide.stock["first_gap_mm"] > wanted.stock["first_gap_mm"] + 0.3


def test_hours_of_a_group_of_machines() -> None:
    """94 000 links at 55 a minute on two machines."""
    _, step = formed()
    assert step.use["machine_time_h"] == pytest.approx(94000.0 / 55.0 / 60.0 / 2.0)


def test_packages_hold_what_mass_and_volume_let() -> None:
    """Whole steps; the lesser of both limits; too small a package is refused."""
    box = {
        "chain_mass_kg_per_m": 0.12, "greatest_package_mass_kg": 23.0, "tare_kg": 1.0,
        "filled_share": 0.2, "length_step_m": 10.0,
    }  # fmt: skip
    assert package_length(package_volume_l=50.0, **box) == pytest.approx(180.0)
    assert package_length(package_volume_l=10.0, **box) == pytest.approx(130.0)
    with pytest.raises(ArgumentError, match="length_step_m"):
        package_length(package_volume_l=0.5, **box)


def test_packing_counts_the_ordered_length() -> None:
    """Test pieces are not packed; a part package counts as one."""
    operation = Packing()
    machine: Any = Bench(
        {"greatest_package_mass_kg": 23.0, "tare_kg": 1.0, "package_volume_l": 50.0,
         "filled_share": 0.2, "length_step_m": 25.0, "length_tolerance_m": 0.1,
         "mass_tolerance_kg": 0.2},
        rate={"package_time_min": 3.0},
    )  # fmt: skip
    chain = Stock(
        "chain", "low carbon",
        {"lot_wire_diameter_mm": 2.68, "cut_length_mm": 58.8, "pitch_mm": 21.4},
        {}, {"ordered_length_m": 2000.0, "length_m": 2020.0},
    )  # fmt: skip
    set_up = operation.set_up({MAIN: chain}, {}, machine, nominal(), {})
    step = operation.run({MAIN: chain}, set_up, machine, nominal())
    assert set_up["package_length_m"] == 175.0
    assert step.finding("packages").value == 12.0
    assert step.use["machine_time_h"] == pytest.approx(0.6)
