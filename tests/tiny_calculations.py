"""Tiny calculations for tests of the doors; `in_catalogue` puts them in and takes them out."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import CATALOGUE, POSITIVE, Values, calculation
from linkwright.quantities import UnknownName

FACTORS = {"oil, still": 0.25, "water, still": 1.0}


class TinyPull(NamedTuple):
    """Results of `tiny_pull`."""

    area_mm2: Values
    stress_MPa: Values


@contextmanager
def in_catalogue() -> Iterator[None]:
    """Have the tiny calculations in the catalogue inside the block, and only there."""
    try:
        _define()
        yield
    finally:
        for name in [name for name, entry in CATALOGUE.items() if entry.room == __name__]:
            del CATALOGUE[name]


def _define() -> None:
    @calculation(
        source="Test, area of a circle",
        needs={"diameter_mm": POSITIVE},
        valid={"load_kN": (0.0, 100.0)},
    )
    def tiny_pull(*, load_kN: Values, diameter_mm: Values) -> TinyPull:
        """Stress of a round bar under a pull.

        Long text about it.
        """
        area = np.pi * diameter_mm**2 / 4
        return TinyPull(area, load_kN * 1000 / area)

    @calculation(source="Test, table", gives="severity", basis="memory")
    def tiny_severity(*, medium: str, times: int = 1) -> float:
        """Severity of a medium, one at a time."""
        if medium not in FACTORS:
            raise UnknownName("medium", medium, FACTORS)
        return FACTORS[medium] * times

    @calculation(source="Test", gives="end_temperature_degC")
    def tiny_warming(
        *, start_temperature_degC: Values, temperature_rise_K: Values = 10.0
    ) -> Values:
        """Temperature after a rise."""
        return start_temperature_degC + temperature_rise_K

    @calculation(source="Test", gives="share_left_percent")
    def tiny_share(
        *, reduction: Values, C_percent: Values = 0.0, hardness_HV: Values = 0.0
    ) -> Values:
        """What a reduction leaves, less the carbon."""
        return 100 * (1 - reduction) - C_percent

    @calculation(source="Test", gives="quotient")
    def tiny_quotient(*, above: Values, below: Values) -> Values:
        """A quotient that may be infinite."""
        with np.errstate(divide="ignore"):
            return np.float64(above) / np.float64(below)

    @calculation(source="Test", gives="reached")
    def tiny_failure(*, kind: str) -> float:
        """Fails in the way that is asked for."""
        failures = {
            "key": KeyError("secret"),
            "value": ValueError("math domain error"),
            "zero": ZeroDivisionError("division by zero"),
            "system": OSError(28, "No space left on device"),
            "stop": KeyboardInterrupt(),
            "memory": MemoryError(),
        }
        raise failures[kind]
