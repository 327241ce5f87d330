"""Choosing a roller chain drive: a typed duty in, ranked drives and the first one's numbers out.

- `choose_drive`: the choice; `DriveChoice`: what comes out
- `drive_page_pdf`: its page for the papers of an order
- `drive_of_order`, `duty_of_line`: the duty of a table [line.drive] of an order
- `duty_of_values`: the duty of texts with units and words, as a person gives them
- `wear_of_works`: the works' own factors on wear in dust, water, corrosion and heat
- `NoDrive`: no drive is admissible
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

from linkwright.catalogue import Derivation, Entry, recording, sourced
from linkwright.documents.drive_page import CAUTIONS, drive_page, wear_said
from linkwright.documents.typesetting import typeset
from linkwright.mechanics.drive_evaluation import LUBRICATIONS, DriveDuty, Evaluated
from linkwright.mechanics.drive_ranking import (
    STANDARD_STRANDS,
    Ranked,
    Ranking,
    RefusedChain,
    one_drive,
    ranked_drives,
)
from linkwright.mechanics.sprocket import (
    SprocketDiameters,
    ToothGap,
    iso606_shroud_diameter,
    iso606_sprocket_diameters,
    iso606_tooth_gap,
    iso606_tooth_width,
)
from linkwright.quantities import CannotPlan, InputErrors, Problem, UnknownName
from linkwright.services.given_numbers import Accepted, read_numbers
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.plan_folder import refuse_if_in_use, write_whole_folder
from linkwright.standards.roller_chain import iso606_chain
from linkwright.works import Drive, WearRecord, read_order, read_works

__all__ = [
    "CRITERION", "DriveChoice", "NoDrive", "Ranked", "Sprocket", "choose_drive", "drive_of_order",
    "drive_page_pdf", "duty_of_line", "duty_of_values", "wear_of_works",
]  # fmt: skip

CRITERION = (
    "admissible is a drive that uses no limit beyond 1; first come those whose joints last at the "
    "middle of the band of wear rates, then the smaller measure of cost (three times the mass of "
    "chain and that of the sprockets, with penalties), smaller pitch, fewer strands, fewer teeth"
)
SHOCKS = ("smooth", "moderate shocks", "heavy shocks")
DRIVER_SHOCKS = ("smooth", "slight shocks", "moderate shocks")
OILS = LUBRICATIONS
ENVIRONMENTS = ("clean", "dusty", "wet", "corrosive", "hot")
_WORDS = {
    "shock": SHOCKS, "driver_shock": DRIVER_SHOCKS, "environment": ENVIRONMENTS,
    "lubrication": LUBRICATIONS,
}  # fmt: skip
_NUMBERS = tuple(field.name for field in fields(DriveDuty) if field.name not in _WORDS)
_NEEDED = ("power_kW", "driver_speed_rpm")
_LIFE_H = 15000.0
_ISO = "ISO 10823:2004, the life that its ratings hold for"


class NoDrive(CannotPlan):
    """No drive is admissible; says which comes nearest and what refuses it."""

    code = "no-drive"


@dataclass(frozen=True)
class Sprocket:
    """One sprocket by ISO 606."""

    teeth: int
    diameters: SprocketDiameters
    gap: ToothGap
    greatest_shroud_diameter_mm: float
    tooth_width_mm: float | None
    """Of one strand's teeth; not held for more than three strands."""

    def to_dict(self) -> dict[str, Any]:
        """Sizes by name with unit."""
        sizes = {**self.diameters._asdict(), **self.gap._asdict()}
        sizes["greatest_shroud_diameter_mm"] = self.greatest_shroud_diameter_mm
        told = {name: float(size) for name, size in sizes.items()}
        width = self.tooth_width_mm
        return {
            "teeth": self.teeth,
            **told,
            "tooth_width_mm": None if width is None else float(width),
        }


@dataclass(frozen=True)
class DriveChoice:
    """The choice. rows: the best drive of each chain and number of strands, best first.

    numbers: of the first row, computed again by the published calculations; ``derivation`` holds
    what each rests on. sprockets: small and large. refused: nearest first.
    """

    duty: DriveDuty
    rows: tuple[Ranked, ...]
    refused: tuple[RefusedChain, ...]
    admissible: int
    candidates: int
    numbers: Evaluated
    sprockets: tuple[Sprocket, Sprocket]
    derivation: Derivation
    files: tuple[Path, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS

    def behind(self, name: str) -> list[Entry]:
        """What a number of the first row rests on, nearest first.

        Raises `UnknownName` for a name that is no number of it.
        """
        value = getattr(self.numbers, name, None)
        entry = getattr(value, "entry", None)
        if entry is None:
            raise UnknownName("number", name, [one.name for one in fields(Evaluated)])
        return self.derivation.behind(entry)

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        small, large = self.sprockets
        return {
            "schema_version": SCHEMA_VERSION,
            "duty": asdict(self.duty),
            "candidates": self.candidates,
            "admissible": self.admissible,
            "criterion": CRITERION,
            "wear_band": wear_said(self.duty),
            "rows": [_plain(row) for row in self.rows],
            "refused": [_plain(one.nearest) for one in self.refused],
            "sprockets": {"small": small.to_dict(), "large": large.to_dict()},
            "cautions": list(self.cautions),
            "files": [str(path) for path in self.files],
        }


def choose_drive(
    duty: DriveDuty | Drive,
    *,
    wear: WearRecord | None = None,
    out: Path | None = None,
    force: bool = False,
) -> DriveChoice:
    """Choose chain, strands and sprockets for a duty; ``out`` is a folder for page and pictures.

    ``wear``: the works' own factors on the wear rate by environment.

    Raises `ArgumentError` for a duty that cannot be, `NoDrive` where nothing is admissible,
    `FolderInUse`, `PapersFailed`.
    """
    if out is not None:
        refuse_if_in_use(out, force=force)
    asked = _asked(duty, wear)
    _check_words(asked)
    ranking = _ranked(asked)
    best = ranking.rows[0]
    with recording() as derivation:
        told = _asked(duty if isinstance(duty, Drive) else _told(duty), wear)
        numbers = one_drive(told, best)
        pair = (
            _sprocket(best, numbers.teeth_small),
            _sprocket(best, numbers.teeth_large),
        )
    choice = DriveChoice(
        asked, ranking.rows, ranking.refused, ranking.admissible, ranking.candidates, numbers,
        pair, derivation,
    )  # fmt: skip
    return choice if out is None else _written(choice, ranking, out, force=force)


def drive_page_pdf(drive: Drive, wear: WearRecord | None = None) -> bytes:
    """The page of the drive that is chosen for a line of an order. Raises as `choose_drive`."""
    asked = duty_of_line(drive, wear)
    return typeset(drive_page(asked, _ranked(asked)), template="drive.typ")


def duty_of_line(drive: Drive, wear: WearRecord | None = None) -> DriveDuty:
    """The duty of a table [line.drive]; while one records, its numbers know their lines.

    ``wear``: the works' own factors on the wear rate by environment.
    """
    life = drive.life_h
    names = [field.name for field in fields(DriveDuty) if field.name != "wear_factor"]
    given = {name: getattr(drive, name) for name in names}
    given["wear_factor"] = _wear_factor(drive.environment, wear)
    given["life_h"] = _default_life() if life is None else life
    return DriveDuty(**given)


def _asked(duty: DriveDuty | Drive, wear: WearRecord | None) -> DriveDuty:
    """The duty with the works' factor for its environment, unless it names one itself."""
    if isinstance(duty, Drive):
        return duty_of_line(duty, wear)
    if duty.wear_factor is not None:
        return duty
    return replace(duty, wear_factor=_wear_factor(duty.environment, wear))


def _wear_factor(environment: str | None, wear: WearRecord | None) -> float | None:
    """The works' factor for an environment; None where it has none, or the drive stands clean."""
    return getattr(wear, f"{environment}_factor", None)


def drive_of_order(path: Path, line_id: str | None) -> Drive:
    """The duty that a line of an order holds; the line may be left out where only one has it.

    Raises `InputErrors` for an order that cannot be read, `UnknownName` for a line that has none.
    """
    lines = read_order(path).lines
    with_duty = [line.id for line in lines if line.drive is not None]
    for line in lines:
        wanted = line.id == line_id or (line_id is None and len(with_duty) == 1)
        if wanted and line.drive is not None:
            return line.drive
    raise UnknownName("line", line_id or "none", with_duty or ["a line with [line.drive]"])


def wear_of_works(path: Path | None) -> WearRecord | None:
    """The factors on wear of a works file; None without a file, or one without [wear].

    Raises `InputErrors` for a file that cannot be read.
    """
    return None if path is None else read_works(path).wear


def duty_of_values(values: Mapping[str, str | float | None]) -> DriveDuty:
    """The duty of texts with units, numbers in the unit of their key, and words.

    Raises `InputErrors` with all that is wrong with the numbers, `UnknownName` for a word.
    """
    made, problems = read_numbers(
        values, _NUMBERS, needed=_NEEDED, defaults={"life_h": _LIFE_H}, accepted=Accepted()
    )
    speeds = [name for name in ("driven_speed_rpm", "ratio") if values.get(name) is not None]
    if len(speeds) != 1:
        message = "is missing" if not speeds else "driven_speed_rpm says the same already"
        accepted = "either the speed of the driven shaft or the ratio"
        problems.append(
            Problem("missing-key" if not speeds else "given-twice", message, key="ratio",
                    accepted=accepted)
        )  # fmt: skip
    if problems:
        raise InputErrors(problems)
    words = {name: values[name] for name in _WORDS if values.get(name) is not None}
    duty = DriveDuty(**made, **words)  # type: ignore[arg-type]
    _check_words(duty)
    return duty


def _check_words(duty: DriveDuty) -> None:
    for name, known in _WORDS.items():
        word = getattr(duty, name)
        if word is not None and word not in known:
            raise UnknownName(name, word, known)


def _default_life() -> float:
    life: float = sourced("life_h", _LIFE_H, "default", _ISO)
    return life


def _told(duty: DriveDuty) -> DriveDuty:
    """The duty with its numbers as given, so that what follows rests on them."""
    numbers = {name: getattr(duty, name) for name in _NUMBERS}
    given = {
        name: value if hasattr(value, "entry") else sourced(name, float(value), "file", "the duty")
        for name, value in numbers.items()
        if value is not None
    }
    return replace(duty, **given)


def _sprocket(best: Ranked, teeth: Any) -> Sprocket:
    chain = iso606_chain(chain_number=best.chain_number)
    width = iso606_tooth_width(inner_width_mm=chain.least_inner_width_mm, pitch_mm=chain.pitch_mm)
    of_strands = {1: width.tooth_width_simplex_mm, 2: width.tooth_width_duplex_triplex_mm,
                  3: width.tooth_width_duplex_triplex_mm}  # fmt: skip
    roller = chain.greatest_roller_diameter_mm
    return Sprocket(
        int(teeth),
        iso606_sprocket_diameters(
            pitch_mm=chain.pitch_mm, roller_diameter_mm=roller, teeth=teeth
        ),
        iso606_tooth_gap(roller_diameter_mm=roller, teeth=teeth),
        iso606_shroud_diameter(
            pitch_mm=chain.pitch_mm, teeth=teeth, plate_height_mm=chain.greatest_plate_height_mm
        ),
        of_strands.get(best.strands),
    )  # fmt: skip


def _ranked(duty: DriveDuty) -> Ranking:
    ranking = ranked_drives(duty)
    if not ranking.rows:
        raise _none(ranking.refused)
    return ranking


def _none(refused: tuple[RefusedChain, ...]) -> NoDrive:
    """What comes nearest, and what would help."""
    nearest = refused[0].nearest
    shown = f"{nearest.chain_number}-{nearest.strands}, {nearest.teeth_small} and "
    return NoDrive(
        f"no drive is admissible; nearest is {shown}{nearest.teeth_large} teeth, whose limit of "
        f"{nearest.limited_by} is used {nearest.used:.3g} times: ask for less, or leave more free"
    )


def _plain(row: Ranked) -> dict[str, Any]:
    """One drive with why it stands where it stands."""
    numbers = {field.name: getattr(row.numbers, field.name) for field in fields(Evaluated)}
    used = numbers.pop("used")
    told = {
        "chain_number": row.chain_number, "strands": row.strands, "teeth_small": row.teeth_small,
        "teeth_large": row.teeth_large, "pitches": row.pitches,
        "lubrication": LUBRICATIONS[int(numbers.pop("lubrication_class")) - 1],
        "lasting": row.lasting, "limited_by": row.limited_by, "limit_used": row.used,
        "by_agreement": row.strands > STANDARD_STRANDS,
    }  # fmt: skip
    rest = {name: value for name, value in numbers.items() if name not in told}
    return {**told, **rest, "used": {name.replace(" ", "_"): share for name, share in used.items()}}


def _written(choice: DriveChoice, ranking: Ranking, out: Path, *, force: bool) -> DriveChoice:
    """The choice with its files: page, pictures, and what ``--json`` prints."""
    page = drive_page(choice.duty, ranking)
    content: dict[str, object] = {
        "drive.pdf": typeset(page, template="drive.typ"), **page["pictures"],
        "drive.json": choice.to_dict(),
    }  # fmt: skip
    return replace(choice, files=tuple(write_whole_folder(out, content, force=force)))
