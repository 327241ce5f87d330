"""The check of links, anchors and words finds what is wrong and leaves the rest alone."""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(name="script", scope="module")
def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("check_links", ROOT / "scripts/check_links.py")
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script


@pytest.fixture(name="tree")
def _tree(tmp_path: Path) -> Path:
    (tmp_path / "docs" / "models").mkdir(parents=True)
    (tmp_path / "README.md").write_text("# Name\n\nSee [design](docs/design.md#two-words).\n")
    (tmp_path / "docs" / "design.md").write_text("# Design\n\n## Two words\n\n## Two words\n")
    (tmp_path / ".gitignore").write_text("build/\n*.egg-info/\n")
    return tmp_path


def test_a_tree_in_order_has_no_problems(script: ModuleType, tree: Path) -> None:
    """Nothing is reported where every link leads to a heading."""
    assert script.problems(tree) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[a](docs/gone.md)", "docs/gone.md: no such file"),
        ("![a](docs/gone.svg)", "docs/gone.svg: no such file"),
        ("[a](docs/design.md#three-words)", "docs/design.md#three-words: no such heading"),
        ("[a](docs/design.md#two-words-2)", "docs/design.md#two-words-2: no such heading"),
        ("[a](#other)", "#other: no such heading"),
        ("[a](../elsewhere.md)", "../elsewhere.md: leads out of the project"),
        ("[a](/etc/hosts)", "/etc/hosts: leads out of the project"),
        ("[a]: docs/gone.md", "docs/gone.md: no such file"),
        ('<img src="docs/gone.svg" alt="a">', "docs/gone.svg: no such file"),
        ("[![a](docs/gone.svg)](docs/design.md)", "docs/gone.svg: no such file"),
        ('[a](docs/gone.md "a title")', "docs/gone.md: no such file"),
    ],
)
def test_a_broken_link_is_listed_with_its_line(
    script: ModuleType, tree: Path, text: str, said: str
) -> None:
    """Files, headings and ways out of the project, in every form of a link."""
    (tree / "README.md").write_text(f"# Name\n\n{text}\n")
    assert script.problems(tree) == [f"README.md:3: {said}"]


@pytest.mark.parametrize(
    "text",
    [
        "[a](docs/design.md#two-words-1)",
        "[a](docs/models/)",
        "[a](#name)",
        "[a](https://example.org/gone.md#nowhere)",
        "[a](mailto:someone@example.org)",
        "`[a](docs/gone.md)`",
        "```\n[a](docs/gone.md)\n```",
        "~~~md\n```\n[a](docs/gone.md)\n~~~",
        "[a](docs/d%65sign.md)",
        '<a id="here"></a> [a](#here)',
        "[a] (docs/gone.md)",
    ],
)
def test_what_is_no_broken_link_is_not_listed(script: ModuleType, tree: Path, text: str) -> None:
    """Other sites, code, folders, repeated headings and anchors set by hand."""
    (tree / "README.md").write_text(f"# Name\n\n{text}\n")
    assert script.problems(tree) == []


def test_pages_in_folders_are_checked_from_where_they_stand(script: ModuleType, tree: Path) -> None:
    """A relative link starts at its own page."""
    (tree / "docs" / "models" / "link.md").write_text("[a](../design.md) [b](design.md)\n")
    assert script.problems(tree) == ["docs/models/link.md:1: design.md: no such file"]


@pytest.mark.parametrize(
    ("heading", "anchor"),
    [
        ("What `--json` prints", "what---json-prints"),
        ("Errors, and their shape!", "errors-and-their-shape"),
        ("1. Deciding is not running", "1-deciding-is-not-running"),
        ("See [the page](docs/x.md)", "see-the-page"),
        ("Größe", "größe"),
    ],
)
def test_headings_become_anchors(script: ModuleType, heading: str, anchor: str) -> None:
    """Small letters, signs dropped, spaces as hyphens."""
    assert script.anchors(f"# Top\n\n## {heading}\n") == {"top", anchor}


@pytest.mark.parametrize(
    "parts",
    [("tran", "script"), ("the seed", " document"), ("see /wo", "rk/main"), ("in sha", "red/x"),
     ("a hel", "per"), ("Issue ", "#7"), ("the br", "ief")],
)  # fmt: skip
def test_words_that_do_not_belong_here_are_listed(
    script: ModuleType, tree: Path, parts: tuple[str, str]
) -> None:
    """In any text of the tree, with file and line."""
    (tree / "notes.py").write_text("x = 1\n# " + "".join(parts) + "\n")
    (said,) = script.problems(tree)
    assert said.startswith("notes.py:2: ")


@pytest.mark.parametrize(
    "text",
    ["date of issue and signature", "the work/energy balance", "a brief pause", "shared, drawn",
     "~/wo" + "rk/own", "the work of bending", "framework/main"],
)  # fmt: skip
def test_words_of_the_trade_are_left_alone(script: ModuleType, tree: Path, text: str) -> None:
    """What merely looks alike is no finding."""
    (tree / "notes.py").write_text(f"# {text}\n")
    assert script.problems(tree) == []


@pytest.mark.parametrize("stem", ["utils", "common", "hel" + "pers"])
def test_files_and_folders_named_as_a_place_for_leftovers_are_listed(
    script: ModuleType, tree: Path, stem: str
) -> None:
    """A name says what is inside."""
    (tree / stem).mkdir()
    (tree / stem / "wire.py").write_text("")
    (tree / f"{stem}.py").write_text("")
    assert {line.split(":")[0] for line in script.problems(tree)} == {
        f"{stem}/wire.py",
        f"{stem}.py",
    }


def test_what_is_not_kept_is_not_read(script: ModuleType, tree: Path) -> None:
    """Folders of .gitignore, the store of git and files that are no text are left out."""
    for folder in ("build", "x.egg-info", ".git"):
        (tree / folder).mkdir()
        (tree / folder / "notes.md").write_text("tran" + "script")
    (tree / "picture.bin").write_bytes(b"\0" + ("tran" + "script").encode())
    assert script.problems(tree) == []


def test_this_project_is_in_order(script: ModuleType) -> None:
    """No broken link, no word and no name that does not belong, in the tree as it stands."""
    assert script.problems() == []
