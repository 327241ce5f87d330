"""Trial: every size of EN 818-2 that is bent cold, planned; what limits where it does not pass.

An exploration with invented machines. Each size is planned twice: in the demo works with rod
of its own size, and in a works whose machines are scaled from the 8 mm ones by stated rules.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from measured import Figure

from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import LinePlan
from linkwright.products.welded import LARGEST_COLD_FORMED_MM
from linkwright.quantities import LinkwrightError, split, value_text
from linkwright.route import Finding
from linkwright.services.planning import plan_order
from linkwright.standards import en818_2
from linkwright.works import Works, demo_bytes, order_of_bytes, works_of_bytes
from trials.outcome import Counts, Listing, Outcome

LEAST_MM, USUAL_MM = 4.0, 8.0


class Rule(NamedTuple):
    """Numbers of the works file that grow with a power of the size, and why."""

    power: int
    names: tuple[str, ...]
    reason: str


RODS = (Rule(1, ("diameter_mm",), "rod of the same draft, 8.5 mm for 8 mm"),)
MACHINES = (
    Rule(1, ("die_diameter_mm", "first_roll_intermesh_mm", "roll_pitch_mm", "cut_length_mm",
             "notch_depth_mm", "finger_radius_mm",
             "envelope_diameter_mm", "coil_inner_diameter_mm"),
         "tools and sizes as the link itself"),
    Rule(2, ("drawing_force_N", "roll_force_N", "shearing_force_kN", "arm_force_N",
             "force_kN", "lot_force_kN", "mark_force_kN"),
         "the same stress on a larger section"),
    Rule(2, ("connected_power_kW",), "force times the same speed"),
    Rule(1, ("coil_length_mm", "soak_length_mm", "ring_length_mm", "gap_length_mm"),
         "with the line speed: times in coil, soak, gap and ring as d^2"),
    Rule(-1, ("line_speed_m_per_s", "links_per_min"), "larger links go more slowly"),
    Rule(-2, ("frequency_kHz",), "the same depth of current over the diameter"),
    Rule(1, ("generator_power_kW", "coil_current_A"), "mass a second as d^2 times speed"),
    Rule(2, ("water_flow_l_per_min",), "the same water on each area"),
)  # fmt: skip
_LINE = re.compile(r"(\w+)(\s*=\s*)([-\d.,\s\[\]e]+?)(\s*(?:#.*)?)$")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")


def run(counts: Counts, _: Path) -> Outcome:
    """Verdicts of all sizes in both works, and the rules."""
    sizes = [s for s in en818_2.SIZES if LEAST_MM <= s <= LARGEST_COLD_FORMED_MM]
    if not counts.every_size:
        sizes = [USUAL_MM]
    lots = Ensemble(lots=counts.lots)
    at_demo = [_verdict(size, scaled_works(size, RODS), lots) for size in sizes]
    at_scaled = [_verdict(size, scaled_works(size, (*RODS, *MACHINES)), lots) for size in sizes]
    head = ("size", "verdict", "chance", "at median factors", "least certain", "what limits")
    rules = tuple((f"d^{r.power}", ", ".join(r.names), r.reason) for r in (*RODS, *MACHINES))
    return Outcome(
        (
            Figure("sizes from 4 mm to 20 mm", len(sizes)),
            Figure("planned on the demo's machines, rod of the size", _planned(at_demo)),
            Figure("of these without a finding outside its limits", _passing(at_demo)),
            Figure("planned on machines scaled by the rules", _planned(at_scaled)),
            Figure("of these without a finding outside its limits", _passing(at_scaled)),
            Figure("names in the rules that the works file lacks", len(_unknown()), greatest=0,
                   remark=", ".join(_unknown())),
        ),
        (
            Listing("Demo machines, rod of the size", head, tuple(at_demo)),
            Listing("Machines scaled by the rules", head, tuple(at_scaled)),
            Listing("Rules of scaling, d = size over 8 mm", ("as", "numbers", "reason"), rules),
        ),
        ("The machines and the rules are invented (common practice, no source): the tables say "
         "what the models make of them, not what a works can do. Spreads stay as at 8 mm, apart "
         "from the calibrator's force.",),
    )  # fmt: skip


def scaled_works(size_mm: float, rules: tuple[Rule, ...]) -> Works:
    """The demo works with every number that a rule names scaled to the size."""
    powers = {name: rule.power for rule in rules for name in rule.names}
    ratio = size_mm / USUAL_MM
    lines = []
    for line in demo_bytes("works.toml").decode().splitlines():
        match = _LINE.match(line)
        if match and match[1] in powers:
            scaled = _scaled(match[3], ratio ** powers[match[1]])
            lines.append(match[1] + match[2] + scaled + match[4])
        else:
            lines.append(line)
    return works_of_bytes("\n".join(lines).encode(), "works.toml")


def _scaled(text: str, factor: float) -> str:
    return _NUMBER.sub(lambda match: repr(float(f"{float(match[0]) * factor:.6g}")), text)


def _unknown() -> list[str]:
    """Names in the rules that the demo works does not know (any more)."""
    matches = [_LINE.match(line) for line in demo_bytes("works.toml").decode().splitlines()]
    known = {match[1] for match in matches if match}
    return [name for rule in (*RODS, *MACHINES) for name in rule.names if name not in known]


def _verdict(size_mm: float, works: Works, lots: Ensemble) -> tuple[str, ...]:
    order = demo_bytes("order.toml").decode().replace('"8 mm"', f'"{size_mm:g} mm"')
    size = f"{size_mm:g} mm"
    try:
        plan = plan_order(order_of_bytes(order.encode()), works, ensemble=lots).lines[0].plan
    except LinkwrightError as error:
        return (size, "not planned", "–", "–", "–", " ".join(str(error).split()))
    least = min(plan.chance.parts, key=lambda part: part.chance)
    return (
        size,
        plan.verdict,
        f"{100 * plan.chance.chance:.1f} %",
        f"{100 * plan.chance.at_factors:.1f} %",
        f"{_named(least.requirement.subject)[0]} {100 * least.chance:.1f} %",
        _limiting(plan),
    )


def _limiting(plan: LinePlan) -> str:
    """The findings outside their limits; if there are none, those close to them."""
    for verdict in ("outside", "close"):
        texts = [_told(found) for _, found in plan.findings() if found.verdict == verdict]
        if texts:
            return f"{verdict}: " + "; ".join(texts)
    return ""


def _told(found: Finding) -> str:
    words, unit = _named(found.subject)
    bounds = [
        f", {word} {value_text(float(bound), unit)}"
        for word, bound in (("at least", found.least), ("at most", found.greatest))
        if bound is not None
    ]
    return f"{words} {value_text(float(found.value), unit)}{''.join(bounds)}"


def _named(subject: str) -> tuple[str, str]:
    stem, unit = split(subject)
    return stem.replace("_", " "), unit


def _planned(rows: list[tuple[str, ...]]) -> int:
    return sum(row[1] != "not planned" for row in rows)


def _passing(rows: list[tuple[str, ...]]) -> int:
    return sum(row[1] not in ("not planned", "outside") for row in rows)
