"""`linkwright drive`."""

import json

from json_page import described, keys_of

DRIVE = ("drive", "--power", "30kW", "--speed", "96rpm", "--driven-speed", "16rpm",
         "--shock", "heavy shocks", "--hours", "16", "--environment", "dusty")  # fmt: skip
ORDER = """[order]
number = "Q-1"
customer = "Invented quarry"
due = 2026-12-18
[[line]]
id = "drum"
[line.drive]
power = "30 kW"
driver_speed = "96 rpm"
driven_speed = "16 rpm"
shock = "heavy shocks"
"""


def test_json_and_files_hold_what_the_page_describes(command, tmp_path) -> None:
    """Every key is described and every described key is there; page and pictures are such."""
    out = tmp_path / "drive"
    ended = command(*DRIVE, "--json", "--out", str(out))
    assert ended.code == 0
    data = json.loads(ended.out)
    assert keys_of(data) == described("drive")
    assert "guard" in ended.err
    assert (out / "drive.pdf").read_bytes().startswith(b"%PDF")
    for name in ("drive.svg", "drive-limits.svg"):
        assert (out / name).read_text(encoding="utf-8").startswith("<svg")
    again = json.loads(command(*DRIVE, "--json").out)
    assert {**again, "files": data["files"]} == data


def test_people_read_the_ranking_and_what_is_refused(command) -> None:
    ended = command(*DRIVE, "--rows", "3")
    assert ended.code == 0
    assert "3. " in ended.out
    assert "4. " not in ended.out
    assert "Refused, nearest first" in ended.out


def test_a_line_of_an_order(command, tmp_path) -> None:
    order = tmp_path / "order.toml"
    order.write_text(ORDER, encoding="utf-8")
    by_name = command("drive", "--order", str(order), "--line", "drum", "--json")
    assert by_name.code == 0
    assert json.loads(by_name.out)["duty"]["power_kW"] == 30.0
    assert command("drive", "--order", str(order), "--line", "x").code == 2
    assert command("drive", "--order", str(order), "--power", "3kW").code == 2
    assert command("drive", "--line", "x").code == 2


def test_exit_codes_of_wrong_and_impossible_duties(command) -> None:
    """2 for wrong input, with key and what is accepted; 1 where no drive is admissible."""
    wrong = command("drive", "--power", "30 apples", "--speed", "96rpm")
    assert wrong.code == 2
    assert "power_kW" in wrong.err
    assert "ratio" in wrong.err
    word = command(*DRIVE[:7], "--shock", "heavy")
    assert word.code == 2
    assert "heavy shocks" in word.err
    none = command("drive", "--power", "9000kW", "--speed", "20rpm", "--ratio", "6")
    assert none.code == 1
    assert "nearest is" in none.err
