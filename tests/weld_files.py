"""Invented readings of welding machines and maps for them, for tests and trials."""

from pathlib import Path

from linkwright.link_data.dataset import opened
from linkwright.link_data.map_file import FileMap, map_of_bytes

HEAD = "machine,counter,clock,coil,current_A,weld_energy_J"


def row(counter: int, machine: str = "W01", energy: object = "") -> str:
    """One row of CSV."""
    time = f"2026-03-02T{6 + counter // 3600 % 12:02d}:{counter // 60 % 60:02d}:{counter % 60:02d}"
    return f"{machine},{counter},{time},C1,{9000 + counter % 7},{energy or 26000 + counter % 11}"


def csv_text(count: int, machine: str = "W01", first: int = 0) -> str:
    """A file of so many rows."""
    return "\n".join([HEAD, *(row(at, machine) for at in range(first, first + count))]) + "\n"


def map_text(head: str = "", **changed: str) -> str:
    """A map of the columns above; ``changed`` gives further lines of a column."""
    columns = [
        f'[[file.column]]\nname = "{name}"\n' + changed.get(name, f'from = "{name}"')
        for name in HEAD.split(",")
    ]
    return '[[file]]\npattern = "*"\nkind = "weld"\n' + head + "\n" + "\n".join(columns) + "\n"


def how(head: str = "", **changed: str) -> FileMap:
    """The map, read."""
    return map_of_bytes(map_text(head, **changed).encode()).files[0]


def written(folder: Path, text: str | bytes, name: str = "a.csv") -> Path:
    """A file with that content."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def kept(links: Path, columns: str = "machine, counter, clock, current_A, weld_energy_J") -> list:
    """All weld readings of a folder in order."""
    with opened(links) as data:
        return data.sql(f"select {columns} from weld order by machine, counter, clock").fetchall()


def aside(links: Path) -> list:
    """All rows that were set aside."""
    import json

    return [
        json.loads(line)
        for path in sorted((links / "set_aside").glob("*.jsonl"))
        for line in path.read_text().splitlines()
    ]
