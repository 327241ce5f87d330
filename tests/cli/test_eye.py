"""`linkwright eye`."""

import json

from json_page import described, keys_of

EYE = ("eye", "--diameter", "2.64mm", "--inner", "6.2mm", "--gap", "0.5mm",
       "--strength", "620MPa", "--fineness", "coarse")  # fmt: skip


def test_json_and_files_hold_what_the_page_describes(command, tmp_path) -> None:
    """Every key is described and every described key is there; the pictures are pictures."""
    ended = command(*EYE, "--json", "--out", str(tmp_path / "eye"))
    assert ended.code == 0
    data = json.loads(ended.out)
    assert keys_of(data) == described("eye")
    assert "not for lifting" in ended.err
    assert data["opened"] is True
    assert 0.85 < data["opening_force_N"] / data["thin_bar_force_N"] < 1.0
    for name in ("eye-opened.svg", "force-gap.svg"):
        assert (tmp_path / "eye" / name).read_text(encoding="utf-8").startswith("<svg")


def test_wrong_input_ends_with_exit_code_2(command) -> None:
    """All wrong values at once, and what would be accepted."""
    ended = command("eye", "--diameter", "2.64mm", "--inner", "0mm", "--strength", "620 apples")
    assert ended.code == 2
    assert "eye_inner_diameter_mm" in ended.err
    assert "tensile_strength_MPa" in ended.err


def test_an_eye_too_small_for_its_neighbour_is_refused(command) -> None:
    ended = command("eye", "--diameter", "3mm", "--inner", "2mm", "--strength", "620MPa")
    assert ended.code == 2
    assert "so that a neighbour fits" in ended.err
