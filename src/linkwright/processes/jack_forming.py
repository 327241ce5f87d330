"""Jack forming: a piece of wire is bent cold into a link with two eyes, link by link.

`JackForming`: C-bend of either eye, the neighbour hung in, closing bend. The same machine
straightens and cuts (`jack_infeed`); its hours and energy are counted here. The eyes stand in
planes at right angles, so that the chain lies flat. No weld.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.mechanics.springback import finger_radius, round_bar_bending
from linkwright.processes.bent_wire import bent_wire, forming_use
from linkwright.processes.choosing import Possible, chosen, held_by_wire, solved_for
from linkwright.processes.forming_findings import (
    bend_findings,
    finger_tool,
    first_link_gauge,
    rate_findings,
    rate_setting,
    side_tools,
)
from linkwright.processes.jack_infeed import NOT_FOR_LIFTING
from linkwright.processes.models.jack_link import (
    arm_angle,
    c_bend_angle,
    c_bend_opening,
    closing_angle,
    feed_share,
    formed_eye,
    gap_over_wire,
    jack_cut_length,
    jack_eye_gap,
    jack_eye_wire,
    jack_eye_wires,
    jack_length_over,
    jack_link_sizes,
    jack_pitch,
)
from linkwright.processes.models.link_geometry import (
    centre_radius_on_finger,
    corrected_finger_radius,
)
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Operation,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_SPRINGBACK = Factor(
    "factor/jack_forming/springback",
    1.0,
    0.05,
    "works' own factor on what an eye springs back, not yet learned: stated band 5 %",
    "bend 20 eyes on three fingers and measure their inner diameter",
)
_PLAY = "play of the arms: common practice, no source"


class JackForming(Operation):
    """Bend both eyes round the finger so that they spring back to the size wanted."""

    name = "jack_forming"
    scatter = (
        Scatter(
            "lot/chain/jack_forming/finger_radius_mm",
            0.01,
            "wear and fit of the fingers: common practice, no source",
        ),
        Scatter("link/chain/jack_forming/first_eye_diameter_mm", 0.03, _PLAY),
        Scatter("link/chain/jack_forming/second_eye_diameter_mm", 0.03, _PLAY),
        Scatter(
            "link/chain/jack_forming/feed_shift_mm",
            0.05,
            "play of the grip between the eyes: common practice, no source",
        ),
    )
    factors = (_SPRINGBACK,)
    card = (
        "finger_radius_mm", "finger_tool", "side_tools", "neck_length_mm", "c_bend_angle_deg",
        "closing_angle_deg", "first_link_gauge_mm", "links_per_min", "feed_speed_m_per_s",
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A piece as long as the wire of two eyes with their gaps and the neck."""
        wire = wanted["wire_diameter_mm"]
        sizes = _sizes(wanted)
        eye = jack_eye_wire(
            wire_diameter_mm=wire,
            eye_mean_diameter_mm=sizes.eye_mean_diameter_mm,
            gap_mm=wanted["eye_gap_mm"],
        )
        length = jack_cut_length(eye_wire_mm=eye, neck_length_mm=sizes.neck_length_mm)
        return {MAIN: {"wire_diameter_mm": wire, "cut_length_mm": length}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Finger through springback, neck for the pitch, angles of both bends; rate is held."""
        piece = stocks[MAIN]
        finger = _finger(piece, wanted, machine, factors, given)
        neck = solved_for(
            "neck_length_mm",
            "the pitch",
            lambda: _sizes(wanted).neck_length_mm,
            machine,
            given,
            inputs=_size_inputs(wanted),
            check="distance of the fingers at set-up; 20 links pulled straight on the rule",
            tolerance=0.05,
        )
        loaded = centre_radius_on_finger(
            wire_diameter_mm=wanted["wire_diameter_mm"], finger_radius_mm=finger.value
        )
        bend = _c_bend(wanted, loaded, machine, given)
        close = _closing(wanted, loaded, bend.value, machine, given)
        feed = chosen(
            "feed_speed_m_per_s",
            machine,
            given,
            check="cam of the feed, at set-up",
            share=0.05,
            possible=Possible(0.001, 20.0),
        )
        wire = piece["lot_wire_diameter_mm"]
        over = jack_length_over(pitch_mm=wanted["pitch_mm"], wire_diameter_mm=wire)
        settings = (
            finger,
            finger_tool(finger, given),
            side_tools(wire, given),
            neck,
            bend,
            close,
            first_link_gauge(over, float(f"{0.05 * float(wire):.2g}")),
            rate_setting(machine, given),
            feed,
        )
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Chain: eyes after springback, gaps, pitch; strain, force of the arms, time."""
        piece = stocks[MAIN]
        finger = factors.actual(
            "lot/chain/jack_forming/finger_radius_mm", settings["finger_radius_mm"]
        )
        loaded = centre_radius_on_finger(
            wire_diameter_mm=piece["lot_wire_diameter_mm"], finger_radius_mm=finger
        )
        bent = round_bar_bending(mean_radius_mm=loaded, **bent_wire(piece, machine))
        eye = formed_eye(
            loaded_radius_mm=loaded,
            mean_radius_mm=bent.residual_mean_radius_mm,
            wire_diameter_mm=piece["lot_wire_diameter_mm"],
            springback_factor=factors.factor(_SPRINGBACK.name),
        )
        link = _link(piece, eye.eye_mean_diameter_mm, settings["neck_length_mm"], factors)
        findings = (
            *_size_findings(piece, link),
            _mouth(piece, eye, loaded, settings["c_bend_angle_deg"]),
            *bend_findings(piece, finger, bent.moment_Nm, machine),
            *rate_findings(piece, settings, machine),
            _feed(piece, settings, machine),
        )
        return Step(
            findings,
            piece.changed("chain", shape=link),
            use=forming_use(piece, settings, machine),
            cautions=_CAUTIONS,
        )


def _sizes(wanted: Wanted) -> Any:
    return jack_link_sizes(**_size_inputs(wanted))


def _size_inputs(wanted: Wanted) -> dict[str, Any]:
    names = ("wire_diameter_mm", "eye_inner_diameter_mm", "pitch_mm")
    return {name: wanted[name] for name in names}


def _finger(
    piece: Stock, wanted: Wanted, machine: Machine, factors: Conditions, given: Mapping[str, Any]
) -> Setting:
    """The finger on which an eye of the inner diameter wanted comes out."""
    bar = bent_wire(piece, machine)

    def radius() -> float:
        inside = wanted["eye_inner_diameter_mm"] / 2.0
        tool = finger_radius(inner_radius_mm=inside, **bar)
        return float(
            corrected_finger_radius(
                inner_radius_mm=inside,
                finger_radius_mm=tool.finger_radius_mm,
                springback_factor=factors.factor(_SPRINGBACK.name),
            )
        )

    return solved_for(
        "finger_radius_mm",
        "the inner diameter of the eyes after springback",
        radius,
        machine,
        given,
        inputs={"eye_inner_diameter_mm": wanted["eye_inner_diameter_mm"], **bar},
        check="radius gauge at set-up; plug gauge in the eyes of the first ten links",
        tolerance=0.02,
    )


def _c_bend(wanted: Wanted, loaded: Any, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """How far the first bend goes, so that the neighbour's wire still passes the mouth."""
    wire = wanted["wire_diameter_mm"]
    play = held_by_wire("entry_play_mm", wire, machine)
    mean = _sizes(wanted).eye_mean_diameter_mm
    inputs = {
        "wire_diameter_mm": wire, "eye_mean_diameter_mm": mean, "entry_play_mm": play,
        "loaded_radius_mm": loaded,
    }  # fmt: skip
    return solved_for(
        "c_bend_angle_deg",
        "a mouth of the open C that the neighbour's wire passes with play",
        lambda: arm_angle(
            bend_angle_deg=c_bend_angle(
                wire_diameter_mm=wire, eye_mean_diameter_mm=mean, opening_mm=wire + play
            ),
            from_mean_radius_mm=mean / 2.0,
            to_mean_radius_mm=loaded,
        ),
        machine,
        given,
        inputs=inputs,
        check="wire of the same coil through the mouth, first ten links",
        tolerance=3.0,
    )


def _closing(
    wanted: Wanted, loaded: Any, c_bend: Any, machine: Machine, given: Mapping[str, Any]
) -> Setting:
    """How far the closing arm goes round."""
    eye = jack_eye_wire(
        wire_diameter_mm=wanted["wire_diameter_mm"],
        eye_mean_diameter_mm=_sizes(wanted).eye_mean_diameter_mm,
        gap_mm=wanted["eye_gap_mm"],
    )
    inputs = {"eye_wire_mm": eye, "loaded_radius_mm": loaded, "c_bend_angle_deg": c_bend}
    return solved_for(
        "closing_angle_deg",
        "the wire laid on the finger to its end",
        lambda: closing_angle(**inputs),
        machine,
        given,
        inputs=inputs,
        check="feeler gauge in both gaps, first ten links, then one in 200",
        tolerance=3.0,
    )


def _link(piece: Stock, eye: Any, neck: Any, factors: Conditions) -> dict[str, Any]:
    """Sizes of the link: both eyes with the play of the arms, their gaps, the pitch."""
    wires = jack_eye_wires(
        cut_length_mm=piece["cut_length_mm"],
        neck_length_mm=neck,
        **_shift(factors),
    )
    link: dict[str, Any] = {"neck_length_mm": neck}
    for which, wire in (("first", wires.first_eye_wire_mm), ("second", wires.second_eye_wire_mm)):
        mean = factors.actual(f"link/chain/jack_forming/{which}_eye_diameter_mm", eye)
        link[f"{which}_eye_mean_diameter_mm"] = mean
        link[f"{which}_gap_mm"] = jack_eye_gap(
            wire_diameter_mm=piece["wire_diameter_mm"], eye_mean_diameter_mm=mean, eye_wire_mm=wire
        )
    link["pitch_mm"] = jack_pitch(
        wire_diameter_mm=piece["wire_diameter_mm"],
        **{name: link[name] for name in (
            "neck_length_mm", "first_eye_mean_diameter_mm", "second_eye_mean_diameter_mm",
        )},
    )  # fmt: skip
    return link


def _shift(factors: Conditions) -> dict[str, Any]:
    """What the feed is off; nothing in the nominal pass."""
    name = "link/chain/jack_forming/feed_shift_mm"
    return {"feed_shift_mm": factors.actual(name, 0.0)} if name in factors.draws else {}


def _size_findings(piece: Stock, link: Mapping[str, Any]) -> tuple[Finding, ...]:
    gaps = [
        Finding(f"formed_{which}_gap_ratio",
                gap_over_wire(gap_mm=link[f"{which}_gap_mm"],
                              wire_diameter_mm=piece["wire_diameter_mm"]),
                0.0, 1.0, "geometry: below 0 the end meets the neck, at 1 the neighbour slips out")
        for which in ("first", "second")
    ]  # fmt: skip
    return (Finding("formed_pitch_mm", link["pitch_mm"]), *gaps)


def _mouth(piece: Stock, eye: Any, loaded: Any, angle: Any) -> Finding:
    """The mouth of the open C as it really comes out."""
    opening = c_bend_opening(
        wire_diameter_mm=piece["lot_wire_diameter_mm"],
        eye_mean_diameter_mm=eye.eye_mean_diameter_mm,
        bend_angle_deg=arm_angle(
            bend_angle_deg=angle,
            from_mean_radius_mm=loaded,
            to_mean_radius_mm=eye.eye_mean_radius_mm,
        ),
    )
    wire = piece["lot_wire_diameter_mm"]
    return Finding("c_opening_mm", opening, wire, None, "the neighbour's wire must pass")


def _feed(piece: Stock, settings: SetUp, machine: Machine) -> Finding:
    share = feed_share(
        cut_length_mm=piece["cut_length_mm"],
        feed_speed_m_per_s=settings["feed_speed_m_per_s"],
        links_per_min=settings["links_per_min"],
    )
    most = machine.held["greatest_feed_share"]
    return Finding("feed_share", share, None, most, "held by the works: cam of the feed")


_CAUTIONS = (
    Caution(
        "Forming arms pinch and shear; the machine makes about a link a second",
        "guard closed and its switch tried before start; jams cleared with the drive locked off",
    ),
    Caution(
        "Cut ends of the wire are sharp, and the chain can catch hands and hair as it runs off",
        "gloves only with the machine at rest; chute and guard at the run-off",
    ),
    NOT_FOR_LIFTING,
)
