"""Write a plan into a folder that is complete or absent.

The folder gets ``plan.json``, ``members.parquet`` (one more a line: ``members-2.parquet``),
copies of the files that were planned and, if asked, ``papers.pdf`` and ``pictures/``. Everything is
written into a new folder beside the wanted one and moved when it is whole.
"""

from __future__ import annotations

import ctypes
import glob
import json
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from linkwright.languages.wording import ENGLISH, Wording
from linkwright.planning.members import write_members
from linkwright.quantities import CannotPlan
from linkwright.services.planning import OrderPlan

_HERE, _EXCHANGE = -100, 2
"""AT_FDCWD and RENAME_EXCHANGE of Linux."""
_LEFT_S = 3600.0
_PART = ".part"
"""Ending of a folder that is being written; nothing else beside the wanted one is touched."""


class FolderInUse(CannotPlan):
    """The folder exists and holds something; says how to overwrite it."""

    code = "folder-in-use"


def write_plan(
    plan: OrderPlan,
    out: Path,
    *,
    force: bool = False,
    papers: bool = True,
    units: str = "metric",
    wording: Wording = ENGLISH,
    beside: Mapping[str, bytes] | None = None,
) -> list[Path]:
    """Write all files of a plan; gives their final paths, in a fixed order.

    ``wording``: of the set-up cards; ``beside``: further files by name, such as the order that
    was planned.
    Raises `FolderInUse` if ``out`` holds files and ``force`` is not set.
    """
    refuse_if_in_use(out, force=force)
    with whole_folder(out) as folder:
        document = plan.document()
        _write(folder / "plan.json", json_text(document).encode())
        for index, line in enumerate(plan.lines):
            name = "members.parquet" if index == 0 else f"members-{index + 1}.parquet"
            write_members(folder / name, plan.ensemble, line.plan.members, line.plan.results)
        for name, content in (beside or {}).items():
            (folder / name).write_bytes(content)
        if papers:
            from linkwright.documents.papers import write_papers  # noqa: PLC0415 - on use

            write_papers(document, folder, units=units, wording=wording)
            _write_drives(plan, folder)
        names = sorted(path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    return [out / name for name in names]


def _write_drives(plan: OrderPlan, folder: Path) -> None:
    """A page for each line that was a duty: which drive was chosen, and why."""
    for index, one in enumerate(plan.lines):
        if one.line.drive is not None:
            from linkwright.services.drive_choice import drive_page_pdf  # noqa: PLC0415 - on use

            name = "drive.pdf" if index == 0 else f"drive-{index + 1}.pdf"
            _write(folder / name, drive_page_pdf(one.line.drive, plan.works.wear))


def write_whole_folder(out: Path, files: Mapping[str, object], *, force: bool) -> list[Path]:
    """Write files by name, texts and bytes as they are, all else as JSON; complete or absent.

    Raises `FolderInUse` if ``out`` holds files and ``force`` is not set.
    """
    refuse_if_in_use(out, force=force)
    with whole_folder(out) as folder:
        for name, content in files.items():
            data = content if isinstance(content, (str, bytes)) else json_text(content)
            _write(folder / name, data.encode() if isinstance(data, str) else data)
    return [out / name for name in files]


def refuse_if_in_use(out: Path, *, force: bool) -> None:
    """Raise `FolderInUse` if the folder may not be written; cheap, so asked before the work."""
    if Path.cwd().is_relative_to(out.resolve()):
        raise FolderInUse(f"{out} is the folder you work in or holds it; choose a new one")
    if out.exists() and (not out.is_dir() or any(out.iterdir())) and not force:
        raise FolderInUse(f"{out} is not empty; --force replaces it, or choose another folder")


def refuse_if_it_holds(out: Path, names: Iterable[str | None]) -> None:
    """Raise `FolderInUse` if a file that is read lies in the folder, which would be replaced."""
    for name in names:
        if name not in (None, "-") and Path(str(name)).resolve().is_relative_to(out.resolve()):
            raise FolderInUse(
                f"{name} lies in {out}, which would be replaced with all that is in it; choose "
                f"another folder"
            )


def json_text(document: object) -> str:
    """JSON as every file and answer of the program has it: two blanks, no NaN, final newline."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


@contextmanager
def whole_folder(out: Path) -> Iterator[Path]:
    """A new folder beside ``out`` that takes its place when the block ends well."""
    out.parent.mkdir(parents=True, exist_ok=True)
    _swept(out)
    folder = Path(tempfile.mkdtemp(prefix=f".{out.name}-", suffix=_PART, dir=out.parent))
    folder.chmod(0o755)
    try:
        yield folder
        _put_in_place(folder, out)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def _put_in_place(folder: Path, out: Path) -> None:
    """Move the whole folder to ``out``; what stood there goes last, or comes back."""
    if not out.exists():
        folder.rename(out)
        return
    if _exchanged(folder, out):
        shutil.rmtree(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{out.name}-old-", suffix=".was", dir=out.parent)) / "was"
    try:
        out.rename(old)
        folder.rename(out)
    finally:
        if old.exists() and not out.exists():
            old.rename(out)
        shutil.rmtree(old.parent, ignore_errors=True)


def _exchanged(one: Path, other: Path) -> bool:
    """Let two folders change names at one stroke, where the system can: Linux renameat2.

    Between two renames a kill would leave nothing under the name; this leaves no between.
    """
    if sys.platform != "linux":
        return False
    library = ctypes.CDLL(None, use_errno=True)
    if not hasattr(library, "renameat2"):
        return False
    names = os.fsencode(one), os.fsencode(other)
    return bool(library.renameat2(_HERE, names[0], _HERE, names[1], _EXCHANGE) == 0)


def _swept(out: Path) -> None:
    """Take away what killed runs left beside ``out``, once it is an hour old."""
    for left in out.parent.glob(f".{glob.escape(out.name)}-*{_PART}"):
        try:
            if left.is_dir() and time.time() - left.stat().st_mtime > _LEFT_S:
                shutil.rmtree(left, ignore_errors=True)
        except OSError:
            continue  # somebody else took it away
