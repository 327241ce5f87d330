"""A works that makes jack chain, and its plans."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic import BeforeValidator, Field

from linkwright.planning.draws import Ensemble
from linkwright.planning.plan import Job, LinePlan, plan_line
from linkwright.products.jack import jack_chain
from linkwright.route import Conditions
from linkwright.works import Works, works
from linkwright.works.toml_file import toml_of_bytes

FILE = Path(__file__).with_name("jack_works.toml")


class _AnyMachine(works.MachineTable):
    """A machine for any operation, whichever the works' file names today."""

    operation: Annotated[  # type: ignore[assignment]
        list[str], BeforeValidator(lambda value: [value] if isinstance(value, str) else value)
    ]


class _AnyWorks(works.WorksFile):
    machine: list[_AnyMachine] = Field(min_length=1)  # type: ignore[assignment]


def _read(text: str) -> Works:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(works, "WorksFile", _AnyWorks)
        return works._works(toml_of_bytes(text.encode(), "works.toml"))


def conditions_of(job: Any, made: Works) -> Conditions:
    """Scatter with the machines' own spread in the place of the usual one."""
    scatter = {}
    for place in job.route.places:
        for source in place.operation.scatter:
            own = place.machine.spread
            key = f"{source.level}_{source.quantity}"
            steel = job.rod.spread if "/receiving/" in source.name else {}
            tables = ((own, key), (own, source.quantity), (steel, source.quantity))
            found = [float(table[name]) for table, name in tables if name in table]
            scatter[source.name] = replace(source, sd=found[0], relative=False) if found else source
    factors = {one.name: one for place in job.route.places for one in place.operation.factors}
    return Conditions(scatter, factors)


@cache
def plan_of(
    size: str = "12",
    edit: tuple[tuple[str, str], ...] = (),
    given: tuple[tuple[str, str, float], ...] = (),
    lots: int = 64,
    steel: str | None = None,
) -> tuple[LinePlan, Any]:
    """Plan 2 000 m in the works, with some words of its file replaced."""
    text = FILE.read_text(encoding="utf-8")
    for old, new in edit:
        assert old in text
        text = text.replace(old, new)
    made = _read(text)
    machines: dict[str, Any] = {}
    for machine in made.machines:
        for operation in machine.operations:
            machines.setdefault(operation, machine)
    jobs = []

    def prepare() -> Job:
        from linkwright.catalogue import sourced

        job = jack_chain(
            size=size,
            length_m=sourced("length_m", 2000.0, "file", "order.toml:9"),
            rods=made.steels,
            rod_name=steel,
            machines=machines,
            aim=made.aim,
        )
        jobs.append(job)
        settings: dict[str, dict[str, float]] = {}
        for operation, name, value in given:
            fixed = sourced(name, value, "file", "order.toml:10")
            settings.setdefault(operation, {})[name] = fixed
        return Job(job.route, job.wanted, job.requirements, conditions_of(job, made), settings)

    return plan_line(prepare, Ensemble(lots=lots)), jobs[0]


@pytest.fixture(scope="session")
def planned() -> Callable[..., tuple[LinePlan, Any]]:
    """`plan_of`, each plan made once."""
    return plan_of
