"""[line.drive] of order.toml: what a power transmission has to do.

`DriveTable` is the table as people write it, `Drive` the duty as the program uses it, and
`read_drive` leads from one to the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field

from linkwright.works.filed import Filed, FiledOptional, Record, numbers_of, sourced_here
from linkwright.works.places import Path
from linkwright.works.reading import Reading
from linkwright.works.table import Contradiction, Table, number


class DriveTable(Table):
    """[line.drive]: what a power transmission has to do."""

    power_kW: float = number("power to be carried", 0.001, 10_000, 30, needed=True)
    driver_speed_rpm: float = number("speed of the driving shaft", 0.1, 20_000, 96, needed=True)
    driven_speed_rpm: float | None = number("speed of the driven shaft", 0.01, 20_000, 16)
    ratio: float | None = number("driver speed over driven speed", 0.1, 15, 6)
    centre_distance_mm: float | None = number("distance of the shafts", 20, 20_000, 1200)
    hours_per_day: float | None = number("running hours in a day", 0.1, 24, 16)
    life_h: float | None = number("hours that the chain shall last", 1, 200_000, 15_000)
    shock: Literal["smooth", "moderate shocks", "heavy shocks"] = Field(
        description="running of the driven machine, in the words of ISO 10823"
    )
    driver_shock: Literal["smooth", "slight shocks", "moderate shocks"] = Field(
        "smooth", description="running of the driver, in the words of ISO 10823"
    )
    environment: Literal["clean", "dusty", "wet", "corrosive", "hot"] | None = Field(
        None, description="what surrounds the drive"
    )
    teeth_small: int | None = Field(
        None, ge=11, le=150, description="teeth of the small sprocket, where they are fixed",
        examples=[19],
    )  # fmt: skip
    teeth_large: int | None = Field(
        None, ge=11, le=150, description="teeth of the large sprocket, where they are fixed",
        examples=[114],
    )  # fmt: skip
    lubrication: Literal["drip", "bath", "stream"] | None = Field(
        None, description="best lubrication that the place allows; the choice is free without it"
    )
    greatest_sprocket_diameter_mm: float | None = number(
        "room for the large sprocket over its tips", 10, 20_000, 900
    )
    greatest_width_mm: float | None = number("room for the chain across", 5, 5_000, 150)

    @classmethod
    def contradictions(cls, given: Mapping[str, Any]) -> Iterator[Contradiction]:
        """The driven speed or the ratio, not both, not neither; small has not more than large."""
        small, large = given.get("teeth_small"), given.get("teeth_large")
        if isinstance(small, int) and isinstance(large, int) and small > large:
            yield Contradiction(
                ("teeth_small",), "is more than teeth_large", f"at most {large}, or teeth_large"
            )
        speeds = [key for key in ("driven_speed", "driven_speed_rpm", "ratio") if key in given]
        if not speeds:
            yield Contradiction(
                ("driven_speed_rpm",), "is missing", 'driven_speed = "16 rpm" or ratio = 6.0'
            )
        elif "ratio" in speeds and len(speeds) > 1:
            yield Contradiction(
                ("ratio",), f"{speeds[0]} says the same already", f"{speeds[0]} or ratio"
            )


@dataclass(frozen=True)
class Drive(Record):
    """A power transmission to be fitted with chain."""

    shock: str
    driver_shock: str
    environment: str | None
    lubrication: str | None
    teeth_small_count: int | None
    teeth_large_count: int | None
    power_kW = Filed()
    driver_speed_rpm = Filed()
    driven_speed_rpm = FiledOptional()
    ratio = FiledOptional()
    centre_distance_mm = FiledOptional()
    hours_per_day = FiledOptional()
    life_h = FiledOptional()
    greatest_sprocket_diameter_mm = FiledOptional()
    greatest_width_mm = FiledOptional()

    @property
    def teeth_small(self) -> float | None:
        """Fixed teeth of the small sprocket, as a number that knows its line."""
        return self._counted("teeth_small", self.teeth_small_count)

    @property
    def teeth_large(self) -> float | None:
        """Fixed teeth of the large sprocket, as a number that knows its line."""
        return self._counted("teeth_large", self.teeth_large_count)

    def _counted(self, name: str, count: int | None) -> float | None:
        if count is None:
            return None
        return sourced_here(name, float(count), lambda: self.source(name))


def read_drive(reading: Reading[Any], path: Path, drive: DriveTable) -> Drive:
    """The duty of a table that was read, with its numbers placed."""
    return Drive(
        numbers=numbers_of(reading, path, drive),
        shock=drive.shock,
        driver_shock=drive.driver_shock,
        environment=drive.environment,
        lubrication=drive.lubrication,
        teeth_small_count=drive.teeth_small,
        teeth_large_count=drive.teeth_large,
    )
