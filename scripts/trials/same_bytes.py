"""Trial: the same order gives the same bytes, whatever hash seed, locale, time zone or folder."""

from __future__ import annotations

import hashlib
from pathlib import Path

from measured import Figure

from linkwright.works import demo_bytes, demo_line_bytes
from trials.outcome import Counts, Outcome, command, frozen

_ENVIRONMENTS = (
    {"PYTHONHASHSEED": "0", "LC_ALL": "C", "TZ": "UTC"},
    {"PYTHONHASHSEED": "1", "LC_ALL": "C.UTF-8", "TZ": "Asia/Kolkata"},
    {"PYTHONHASHSEED": "2", "LC_ALL": "de_DE.UTF-8", "TZ": "America/St_Johns"},
    {"PYTHONHASHSEED": "3", "LC_ALL": "POSIX", "TZ": "Pacific/Kiritimati"},
    {"PYTHONHASHSEED": "4294967295", "LC_ALL": "tr_TR.UTF-8", "TZ": "Europe/Berlin"},
    {"PYTHONHASHSEED": "random", "LC_ALL": "C", "TZ": "Pacific/Apia", "PYTHONUTF8": "0"},
    {"PYTHONHASHSEED": "random", "LANG": "ar_EG.UTF-8", "TZ": "Asia/Tokyo", "NO_COLOR": "1"},
    {"PYTHONHASHSEED": "77", "LC_ALL": "C", "TZ": "", "OPENBLAS_NUM_THREADS": "1"},
    {"PYTHONHASHSEED": "78", "LC_ALL": "hi_IN", "TZ": "Asia/Kathmandu", "COLUMNS": "30"},
    {"PYTHONHASHSEED": "79", "LC_ALL": "C.UTF-8", "TZ": "Etc/GMT+12", "TERM": "dumb"},
)


def run(counts: Counts, folder: Path) -> Outcome:
    """Plan the demo order in each environment, each time in another folder."""
    copy = frozen(folder)
    made = [
        _planned(folder / f"run-{index}", counts, {**copy, **_ENVIRONMENTS[index % 10]})
        for index in range(counts.runs)
    ]
    names = sorted({name for one in made for name in one})
    differing = [name for name in names if len({one.get(name) for one in made}) > 1]
    remarks = [f"Files compared: {', '.join(names)}; and what `--json` prints."]
    if differing:
        remarks.append(f"Differing: {', '.join(differing)}")
    return Outcome(
        (
            Figure("runs", len(made), least=counts.runs),
            Figure("files and answers compared", len(names)),
            Figure("files that are not equal in all runs", len(differing), greatest=0),
        ),
        remarks=tuple(remarks),
    )


def _planned(folder: Path, counts: Counts, environment: dict[str, str]) -> dict[str, str]:
    """Digest of every file of a plan and of the answer on standard output, by name."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("order.toml", "works.toml"):
        raw = demo_line_bytes() if name == "order.toml" else demo_bytes(name)
        (folder / name).write_bytes(raw)
    words = ["plan", "order.toml", "--works", "works.toml", "--out", "plan", "--json", "--quiet"]
    ended = command([*words, "--lots", str(counts.lots)], folder, environment)
    if ended.returncode != 0:
        raise RuntimeError(f"the plan ended with {ended.returncode}: {ended.stderr[-300:]!r}")
    digests = {"(standard output)": hashlib.sha256(ended.stdout).hexdigest()}
    for path in sorted((folder / "plan").rglob("*")):
        if path.is_file():
            name = path.relative_to(folder / "plan").as_posix()
            digests[name] = hashlib.sha256(path.read_bytes()).hexdigest()
    return digests
