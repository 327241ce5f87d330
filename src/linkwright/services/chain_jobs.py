"""From an order line to the job of its chain, on the machines that take its wire.

- `chain_job`: the route, aims and requirements of a line
- `chain_choices`: every rod and heat treatment that the line may be made by
- `of_duty`: a drive duty as the line of the chain that is chosen for it
- `machines_of`: for each operation the machine of the works that takes the line's wire
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from linkwright.catalogue import not_recording
from linkwright.products.finishes import BRIGHT
from linkwright.products.jack import jack_chain
from linkwright.products.job import ChainJob, Choice
from linkwright.products.roller import require_number, roller_chain
from linkwright.products.welded import welded_chain, welded_choices
from linkwright.products.welded_route import TREATMENTS
from linkwright.quantities import ArgumentError, CannotPlan, InputErrors, Problem
from linkwright.route import Machine
from linkwright.services.as_ordered import machines_as_ordered
from linkwright.standards.chain_requirements import ChainStandard, chain_standard
from linkwright.standards.jack import jack_chain_wire
from linkwright.standards.own_chain import own_chain_standard
from linkwright.works import Line, MachineRecord, Works

T = TypeVar("T")


def chain_choices(line: Line, works: Works, machines: Mapping[str, Machine]) -> list[Choice]:
    """Every rod and heat treatment that a line of welded chain may be made by, usual ones first.

    A treatment for which the order gives a setting is the order's choice. One empty choice
    for other lines: their job decides by itself. Raises as `chain_job`.
    """
    if line.product != "welded":
        return [Choice("", "")]
    chain = _chain_of(line)
    at_hand = _at_hand(line, works, machines)
    del at_hand["length_m"]
    choices = welded_choices(chain=chain, size_mm=line.size_mm, **at_hand)
    given = {key.partition(".")[0] for key in line.settings}
    return [one for one in choices if given & set(TREATMENTS[one.treatment])] or choices


def chain_job(
    line: Line,
    works: Works,
    machines: Mapping[str, Machine],
    choice: Choice | None = None,
) -> ChainJob:
    """The job of a line of welded or jack chain, made as ``choice`` says or as is usual.

    Raises `InputErrors` for a size that the standard does not list, `CannotPlan` for what
    cannot be planned yet or with this works.
    """
    line = of_duty(line, works)
    at_hand = _at_hand(line, works, machines)
    if line.product == "jack":
        size = str(line.size)
        _listed(line, "size", lambda: jack_chain_wire(steel_wire_gauge=size))
        return jack_chain(size=size, **at_hand)
    if line.product == "welded":
        if choice is not None:
            at_hand |= {"rod_name": choice.rod, "treatment": choice.treatment}
        finish = line.finish or BRIGHT
        return welded_chain(chain=_chain_of(line), size_mm=line.size_mm, finish=finish, **at_hand)
    if line.product == "roller":
        return roller_chain(**_roller(line, works, machines))
    what = line.form if line.form != "chain" else f"{line.product} chain"
    raise CannotPlan(
        f"line {line.id}: a {what} cannot be planned yet; planned today: welded chain named "
        f"by standard, grade and size, and jack chain by its number"
    )


def of_duty(line: Line, works: Works) -> Line:
    """The line as one of roller chain, if it is a drive duty: the first drive of its ranking.

    The works' own wear in dust, water or heat enters the ranking.

    Raises `NoDrive` where none is admissible, `ArgumentError` for a duty that cannot be.
    """
    if line.drive is None or line.product is not None:
        return line
    from linkwright.services.drive_choice import choose_drive  # noqa: PLC0415 - heavy, on use

    with not_recording():
        best = choose_drive(line.drive, wear=works.wear).rows[0]
    size = f"{best.chain_number}-{best.strands}"
    return replace(
        line, product="roller", standard="ISO 606", size=size, pitches_count=int(best.pitches)
    )


def machines_of(line: Line, works: Works) -> dict[str, MachineRecord]:
    """For each operation the first machine of the works that takes the wire of this line.

    A machine says what wire it takes by its range of wire_diameter_mm; one without that
    range takes any.
    """
    wire_mm = _wire_mm(line)
    machines: dict[str, MachineRecord] = {}
    for machine in works.machines:
        low, high = machine.limits("wire_diameter_mm")
        if wire_mm is None or (low or 0.0) <= wire_mm <= (high or wire_mm):
            for operation in machine.operations:
                machines.setdefault(operation, machine)
    return machines


def _roller(line: Line, works: Works, machines: Mapping[str, Machine]) -> dict[str, Any]:
    """What a line of roller chain says, its number and drawing looked up at its place."""
    number = str(line.size)
    drawing = line.drawings.of(number) if line.drawings else None
    drawn = line.drawings.pin_work(number) if line.drawings else ()
    _listed(line, "size", lambda: require_number(number))
    return {
        "chain_number": number,
        "length_m": line.length_m,
        "pitches": line.pitches,
        "steels": works.steels,
        "machines": machines_as_ordered(machines, line.settings),
        "aim": works.aim,
        "drawing": drawing,
        "plate_work": line.plate_work,
        "carbonitrided": _carbonitrided(line, works),
        "pin_work": line.pin_work,
        "pin_work_drawn": drawn,
    }


def _carbonitrided(line: Line, works: Works) -> tuple[str, ...]:
    """Parts that are carbonitrided: by the order, else the drawing, else the works' furnace."""
    if line.carbonitrided is not None:
        return line.carbonitrided
    drawn = line.drawings.carbonitrided(str(line.size)) if line.drawings else None
    if drawn is not None:
        return drawn
    return tuple(part for machine in works.machines_for("carbonitriding") for part in machine.parts)


def _at_hand(line: Line, works: Works, machines: Mapping[str, Machine]) -> dict[str, Any]:
    return {
        "length_m": line.length_m,
        "rods": works.rods,
        "rod_name": works.steel(line.steel).name if line.steel else None,
        "machines": machines_as_ordered(machines, line.settings),
        "aim": works.aim,
    }


def _chain_of(line: Line) -> ChainStandard:
    """The standard of a line of welded chain, which lists its size."""
    chain: ChainStandard
    if line.table is not None:
        chain = own_chain_standard(line.table, str(line.table_file))
    else:
        chain = chain_standard(str(line.standard), str(line.grade), line.chain_type or "")
    size_mm = float(line.size_mm or 0.0)
    _listed(line, "size_mm", lambda: chain.requirements(size_mm))
    return chain


def _wire_mm(line: Line) -> float | None:
    """Nominal diameter of the line's wire; None for a duty or a chain without such."""
    if line.product == "jack":
        with not_recording():
            size = str(line.size)
            return float(_listed(line, "size", lambda: jack_chain_wire(steel_wire_gauge=size)))
    return None if line.size_mm is None else float(line.size_mm)


def _listed(line: Line, key: str, looked_up: Callable[[], T]) -> T:
    """What a table says of the line's size; raises `InputErrors` with the place of the size."""
    try:
        return looked_up()
    except ArgumentError as error:
        file, _, row = line.place(key).rpartition(":")
        message = f"{error.value} {error.unit}".strip() + f" {error.reason or 'is not listed'}"
        raise InputErrors(
            [Problem(error.code, message, file, int(row), f"line.{key}", error.accepted)]
        ) from None
