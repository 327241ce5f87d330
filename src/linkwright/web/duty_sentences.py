"""The duty of a drive in the order of ISO 10823, one sentence a step, with blanks to fill."""

from __future__ import annotations

from dataclasses import dataclass

from linkwright.services.drive_choice import DRIVER_SHOCKS, ENVIRONMENTS, OILS, SHOCKS


@dataclass(frozen=True)
class Field:
    """A blank: its name in the address, the key of the duty, what it is called."""

    name: str
    key: str
    label: str
    unit: str = ""
    words: tuple[str, ...] = ()
    usual: str = ""
    wide: int = 7


_POWER = Field("power", "power_kW", "power", "kW")
_DRIVER = Field("driver_speed", "driver_speed_rpm", "speed of the driver", "rpm")
_DRIVEN = Field("driven_speed", "driven_speed_rpm", "speed of the driven shaft", "rpm")
_RATIO = Field("ratio", "ratio", "ratio", wide=5)
_DRIVER_SHOCK = Field("driver_shock", "driver_shock", "running of the driver",
                      words=DRIVER_SHOCKS, usual="smooth")  # fmt: skip
_SHOCK = Field("shock", "shock", "running of the driven machine", words=SHOCKS, usual="smooth")
_CENTRE = Field("centre_distance", "centre_distance_mm", "distance of the shafts", "mm")
_SMALL = Field("teeth_small", "teeth_small", "teeth of the small sprocket", wide=4)
_LARGE = Field("teeth_large", "teeth_large", "teeth of the large sprocket", wide=4)
_HOURS = Field("hours_per_day", "hours_per_day", "hours a day", wide=4)
_LIFE = Field("life", "life_h", "life", "h")
_AIR = Field("environment", "environment", "surroundings", words=("", *ENVIRONMENTS))
_OIL = Field("lubrication", "lubrication", "best lubrication", words=("", *OILS))
_DIAMETER = Field("greatest_sprocket_diameter", "greatest_sprocket_diameter_mm",
                  "room for the large sprocket", "mm")  # fmt: skip
_WIDTH = Field("greatest_width", "greatest_width_mm", "room across", "mm")

SENTENCES: tuple[tuple[str | Field, ...], ...] = (
    ("The driver gives ", _POWER, " at ", _DRIVER, "."),
    ("The driven shaft turns at ", _DRIVEN, ", or the ratio is ", _RATIO, "."),
    ("The driver runs ", _DRIVER_SHOCK, ", the driven machine ", _SHOCK, "."),
    ("The shafts lie ", _CENTRE, " apart (40 pitches if left out); small sprocket ", _SMALL,
     " and large ", _LARGE, " teeth, where they are fixed."),
    ("It runs ", _HOURS, " hours a day and shall last ", _LIFE, " (15 000 h if left out)."),
    ("The surroundings are ", _AIR, "; the best lubrication there may be is ", _OIL, "."),
    ("There is room for a sprocket of ", _DIAMETER, " over its tips and ", _WIDTH, " across."),
)  # fmt: skip
"""Steps of the procedure; a bare number is in the unit that stands behind its blank."""

FIELDS = {part.name: part for sentence in SENTENCES for part in sentence if isinstance(part, Field)}
"""The blanks by name."""
