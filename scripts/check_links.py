"""Check that the pages hold together: links, anchors, and words that do not belong here.

python scripts/check_links.py           # exit code 1 with a list of what is wrong

- Every relative link and anchor of README.md, CHANGELOG.md and docs/**/*.md leads to a file
  or a heading of this project.
- No file is named as a place for leftovers, and no text speaks of how it came to be written.

Links to other sites are not followed: this runs without a network.
"""

from __future__ import annotations

import fnmatch
import os
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

ROOT = Path(__file__).resolve().parents[1]

# Each pattern is written so that it does not match itself.
WORDS = {
    "a record of a talk": r"tran[s]cript",
    "what a project grew from": r"see[d][ -]document",
    "a folder of one machine": r"(?<![\w.~-])/wor[k](?![\w-])|(?<![\w/-])share[d]/",
    "who wrote it": r"\bhelpe[r]s?\b|\bsub-?agen[t]s?\b|\blanguage mode[l]s?\b",
    "a task that was set": r"\bthe brie[f]\b|\bissu[e] #?\d",
}
LEFTOVERS = {"util", "utils", "help" + "er", "help" + "ers", "common", "misc", "stuff"}

_LINK = re.compile(r"\]\(\s*<?([^)\s>]+)>?(?:\s+\"[^\"]*\")?\s*\)")  # also in another's text
_REFERENCE = re.compile(r"^ {0,3}\[[^\]]+\]:\s*<?([^\s>]+)", re.MULTILINE)
_HTML = re.compile(r"<(?:a|img)\b[^>]*?\b(?:href|src)=\"([^\"]*)\"")
_OTHER_SITE = re.compile(r"[a-zA-Z][a-zA-Z0-9+.-]*:|//")
_HEADING = re.compile(r"^ {0,3}#{1,6}\s+(.*?)\s*#*\s*$")
_OWN_ANCHOR = re.compile(r"<a\s+(?:id|name)=\"([^\"]+)\"")


def problems(root: Path = ROOT) -> list[str]:
    """Everything that is wrong below ``root``, as lines ``file:line: what``."""
    found: list[str] = []
    for page in _pages(root):
        found += _broken_links(page, root)
    for path in _tree(root):
        shown = path.relative_to(root)
        found += [f"{shown}: {said}" for said in _bad_name(shown)]
        found += [f"{shown}:{line}: {said}" for line, said in _bad_words(path)]
    return found


def _pages(root: Path) -> list[Path]:
    pages = [root / "README.md", root / "CHANGELOG.md", *sorted((root / "docs").rglob("*.md"))]
    return [page for page in pages if page.exists()]


def _broken_links(page: Path, root: Path) -> Iterator[str]:
    text = _prose(page.read_text(encoding="utf-8"))
    for match in (hit for form in (_LINK, _REFERENCE, _HTML) for hit in form.finditer(text)):
        target = match[1]
        wrong = None if _OTHER_SITE.match(target) else _wrong_target(page, target, root)
        if wrong:
            line = text.count("\n", 0, match.start()) + 1
            yield f"{page.relative_to(root)}:{line}: {target}: {wrong}"


def _wrong_target(page: Path, target: str, root: Path) -> str | None:
    name, _, anchor = unquote(target).partition("#")
    path = (page.parent / name).resolve() if name else page
    if name.startswith("/") or not path.is_relative_to(root):
        return "leads out of the project"
    if not path.exists():
        return "no such file"
    if anchor and path.suffix == ".md" and anchor not in anchors(path.read_text(encoding="utf-8")):
        return "no such heading"
    return None


def anchors(text: str) -> set[str]:
    """The anchors of a page: its headings as forges turn them, and those set by hand."""
    seen: Counter[str] = Counter()
    found = set(_OWN_ANCHOR.findall(text))
    for line in _prose(text, keep_code_spans=True).splitlines():
        if match := _HEADING.match(line):
            plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", match[1]).lower()
            slug = re.sub(r"[^\w\- ]", "", plain).replace(" ", "-")
            found.add(f"{slug}-{seen[slug]}" if seen[slug] else slug)
            seen[slug] += 1
    return found


def _prose(text: str, *, keep_code_spans: bool = False) -> str:
    """The text with fenced code and code spans blanked, line by line as it was."""
    fence, lines = "", []
    for line in text.splitlines():
        mark = re.match(r" {0,3}(`{3,}|~{3,})", line)
        if fence:
            closed = mark is not None and mark[1].startswith(fence)
            fence = "" if closed else fence
            lines.append("")
        elif mark:
            fence = mark[1]
            lines.append("")
        else:
            lines.append(line if keep_code_spans else re.sub(r"`[^`]*`", "` `", line))
    return "\n".join(lines)


def _tree(root: Path) -> Iterator[Path]:
    """All files but those that .gitignore leaves out."""
    ignore = root / ".gitignore"
    listed = ignore.read_text(encoding="utf-8").split() if ignore.exists() else []
    left_out = [".git", *(name.rstrip("/") for name in listed)]
    for folder, folders, files in os.walk(root):
        folders[:] = sorted(name for name in folders if not _matches(name, left_out))
        yield from (Path(folder, name) for name in sorted(files) if not _matches(name, left_out))


def _matches(name: str, patterns: list[str]) -> bool:
    return any(fnmatch.fnmatchcase(name, pattern) for pattern in patterns)


def _bad_name(path: Path) -> Iterator[str]:
    for part in path.parts:
        if part.split(".")[0].lower() in LEFTOVERS:
            yield f"{part} says nothing of what is in it"
    for what, pattern in WORDS.items():
        if re.search(pattern, path.name, re.IGNORECASE):
            yield f"its name speaks of {what}"


def _bad_words(path: Path) -> Iterator[tuple[int, str]]:
    data = path.read_bytes()
    if b"\0" in data:
        return
    for number, line in enumerate(data.decode("utf-8", "replace").splitlines(), start=1):
        for what, pattern in WORDS.items():
            if hit := re.search(pattern, line, re.IGNORECASE):
                yield number, f"{hit[0]!r} speaks of {what}"


def main() -> int:
    """List what is wrong; the exit code is 1 if anything is."""
    found = problems()
    for line in found:
        print(line)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
