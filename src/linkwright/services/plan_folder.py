"""Write a plan into a folder that is complete or absent.

The folder gets ``plan.json``, ``members.parquet`` (one more a line: ``members-2.parquet``),
and, if asked, ``papers.pdf`` and ``pictures/``. Everything is written into a new folder
beside the wanted one and moved when it is whole.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from linkwright.planning.members import write_members
from linkwright.quantities import CannotPlan
from linkwright.services.planning import OrderPlan


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
    beside: Mapping[str, bytes] | None = None,
) -> list[Path]:
    """Write all files of a plan; gives their final paths, in a fixed order.

    ``beside``: further files by name, such as the order that was planned.
    Raises `FolderInUse` if ``out`` holds files and ``force`` is not set.
    """
    refuse_if_in_use(out, force=force)
    with _whole_folder(out) as folder:
        document = plan.document()
        _write_text(folder / "plan.json", json_text(document))
        for index, line in enumerate(plan.lines):
            name = "members.parquet" if index == 0 else f"members-{index + 1}.parquet"
            write_members(folder / name, plan.ensemble, line.plan.members, line.plan.results)
        for name, content in (beside or {}).items():
            (folder / name).write_bytes(content)
        if papers:
            from linkwright.documents.papers import write_papers  # noqa: PLC0415 - on use

            write_papers(document, folder, units=units)
        names = sorted(path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    return [out / name for name in names]


def refuse_if_in_use(out: Path, *, force: bool) -> None:
    """Raise `FolderInUse` if the folder may not be written; cheap, so asked before the work."""
    if out.exists() and (not out.is_dir() or any(out.iterdir())) and not force:
        raise FolderInUse(f"{out} is not empty; --force replaces it, or choose another folder")


def json_text(document: object) -> str:
    """JSON as every file and answer of the program has it: two blanks, no NaN, final newline."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _write_text(path: Path, text: str) -> None:
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


@contextmanager
def _whole_folder(out: Path) -> Iterator[Path]:
    """A new folder beside ``out`` that takes its place when the block ends well."""
    out.parent.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    folder.chmod(0o755)
    try:
        yield folder
        if out.exists():
            old = Path(tempfile.mkdtemp(prefix=f".{out.name}-old-", dir=out.parent)) / "was"
            out.rename(old)
            folder.rename(out)
            shutil.rmtree(old.parent)
        else:
            folder.rename(out)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
