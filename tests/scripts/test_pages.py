"""Pages that are written from the program, or that must keep up with it."""

import importlib.util
import re
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

from linkwright.quantities import UNITS

ROOT = Path(__file__).parents[2]


@pytest.fixture(name="script", scope="module")
def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "write_nomenclature", ROOT / "scripts/write_nomenclature.py"
    )
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script


def test_the_page_of_names_and_units_is_up_to_date(script: ModuleType) -> None:
    """docs/nomenclature.md equals what the script writes from the table of units."""
    assert (ROOT / "docs/nomenclature.md").read_text(encoding="utf-8") == script.page()


def test_every_unit_has_one_row_on_the_page(script: ModuleType) -> None:
    """No suffix is left out, none stands twice."""
    rows = re.findall(r"^\|[^|]*\| `([^`]+)` \|", script.page(), re.MULTILINE)
    assert sorted(rows) == sorted(UNITS)


def test_with_check_a_page_that_fell_behind_is_an_error(
    script: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--check compares and writes nothing; without it the page is written."""
    page = tmp_path / "nomenclature.md"
    monkeypatch.setattr(script, "PAGE", page)
    monkeypatch.setattr("sys.argv", ["write_nomenclature.py", "--check"])
    assert script.main() == 1
    assert not page.exists()
    monkeypatch.setattr("sys.argv", ["write_nomenclature.py"])
    assert script.main() == 0
    monkeypatch.setattr("sys.argv", ["write_nomenclature.py", "--check"])
    assert script.main() == 0
    page.write_text("old")
    assert script.main() == 1


def _pins() -> list[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"].values()
    return [*project["dependencies"], *(pin for extra in extras for pin in extra)]


def test_every_pinned_dependency_has_its_reason_and_no_other_has() -> None:
    """docs/dependencies.md has one row for each dependency of pyproject.toml."""
    page = (ROOT / "docs/dependencies.md").read_text(encoding="utf-8").partition("## Not used")[0]
    named = re.findall(r"^\| `([^`]+)` \| \S", page, re.MULTILINE)
    assert sorted(named) == sorted({re.split(r"[=\[]", pin)[0] for pin in _pins()})


def test_every_dependency_is_pinned_to_one_version() -> None:
    """Ranges would let the same order give another plan."""
    exact = r"[a-z0-9-]+(\[[a-z,]+\])?==[0-9.]+"
    assert [pin for pin in _pins() if not re.fullmatch(exact, pin)] == []


def test_the_list_of_changes_has_a_place_for_the_next_release() -> None:
    """CHANGELOG.md begins with what is not yet released, under the usual heads."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    heads = re.findall(r"^## (.+)$", text, re.MULTILINE)
    assert heads[0] == "[Unreleased]"
    kinds = set(re.findall(r"^### (.+)$", text, re.MULTILINE))
    assert kinds <= {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}
