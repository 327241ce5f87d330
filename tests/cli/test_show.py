"""What reaches a terminal."""

import pytest

from linkwright.cli.show import Screen, as_json, values_text


class Terminal:
    """A standard output that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("environment", "no_color", "coloured"),
    [
        ({}, False, True),
        ({}, True, False),
        ({"NO_COLOR": "1"}, False, False),
        ({"NO_COLOR": ""}, False, True),
        ({"TERM": "dumb"}, False, False),
    ],
)
def test_colour_only_where_it_is_wanted(
    monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], no_color: bool, coloured: bool
) -> None:
    """NO_COLOR, TERM=dumb and --no-color switch colour off, the word stays."""
    monkeypatch.setattr("sys.stdout", Terminal())
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for key, value in environment.items():
        monkeypatch.setenv(key, value)
    painted = Screen(no_color=no_color).paint("differs", "red")
    assert "differs" in painted
    assert ("\x1b" in painted) is coloured


def test_no_colour_where_nobody_looks(capsys: pytest.CaptureFixture[str]) -> None:
    """Output into a file or a pipe has no colour."""
    assert Screen().paint("differs", "red") == "differs"


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        (12.3456789, "mm", "12.346 mm"),
        (17, "", "17"),
        (1234567, "", "1234567"),
        (True, "", "yes"),
        (None, "mm", "–"),
        (float("inf"), "mm", "– mm"),
        ("oil", "", "oil"),
        ([1.0, 2.0], "kN", "1, 2 kN"),
        ([[1.0, 2.0], [3.0, 4.0]], "", "[1, 2], [3, 4]"),
        (list(range(20)), "", "0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, ... (20 in all)"),
    ],
)
def test_values_for_people(value: object, unit: str, expected: str) -> None:
    """Rounded, with the unit once, long lists cut with their length."""
    assert values_text(value, unit) == expected


def test_json_never_holds_what_json_does_not_know() -> None:
    """A value that is not finite is an error of the caller, not of the reader."""
    with pytest.raises(ValueError, match="not JSON compliant"):
        as_json({"x": float("nan")})
