"""`linkwright trace` and `linkwright clocks` on a small made folder."""

import json

import pytest
from json_page import described, keys_of
from link_data.made_folder import OFFSET_S, write_folder


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(write_folder(tmp_path_factory.mktemp("links")))


def found(command, *words: str) -> dict:
    ended = command("trace", *words, "--json")
    assert ended.code == 0, ended.err
    return json.loads(ended.out)


def test_a_weld_is_traced_to_its_certificate(command, folder: str) -> None:
    """One link: its coil, second of heat treatment the other end first, stroke, certificate."""
    data = found(command, "weld", "W07", "1010", "--links", folder, "--pitch", "24mm")
    assert keys_of(data) == described("trace")
    held = {one["kind"]: (one["name"], one["first"], one["last"]) for one in data["ranges"]}
    assert held["coil"] == ("K1", 10, 10)
    assert held["harden"] == ("H01", 5389, 5389)
    assert held["stroke"] == ("P01", 1, 1)
    times = {one["kind"]: one["first_time"] for one in data["ranges"]}
    assert times["harden"] == "2026-11-03T07:03:14.500000Z"
    assert data["certificates"] == [{"name": "C1", "links": 1, "length_m": pytest.approx(0.024)}]


def test_a_bad_coil_lists_what_it_became(command, folder: str) -> None:
    """Every link and certificate of the coil, and those in no piece are told."""
    data = found(command, "coil", "K2", "--links", folder)
    assert data["links"] == 150
    assert [(one["name"], one["links"]) for one in data["certificates"]] == [("C2", 130)]
    assert "20 links of strand are in no piece" in data["notes"]
    back = found(command, "certificate", "C2", "--links", folder)
    coil = [one for one in back["ranges"] if one["kind"] == "coil"]
    assert [(one["name"], one["first"], one["last"]) for one in coil] == [
        ("K1", 200, 249), ("K2", 0, 129)]  # fmt: skip


def test_a_fault_by_another_clock_is_widened(command, folder: str) -> None:
    """A time that the hardening's clock showed, at the tempering: the true readings are within."""
    words = ("temper", "T01", "2026-11-03T07:00..2026-11-03T07:02", "--links", folder)
    assert "linkwright clocks finds it" in command("trace", *words, "--by-clock", "H01").err
    ended = command("clocks", "harden/H01", "temper/T01", "--links", folder, "--least", "60s",
                    "--greatest", "65s", "--json")  # fmt: skip
    data = json.loads(ended.out)
    assert keys_of(data) == described("clocks")
    assert data["stretches"][0]["offset_s"] == pytest.approx(OFFSET_S, abs=0.5)
    made = found(command, *words, "--by-clock", "H01")
    assert "widened by what is not known" in made["notes"][0]
    first = next(one for one in made["ranges"] if one["kind"] == "temper")
    assert first["first"] == 70
    assert 100 < sum(one["count"] for one in made["ranges"] if one["kind"] == "temper") < 130


def test_a_count_without_a_mark_is_the_whole_lot(command, folder: str) -> None:
    """Without a serial the whole lot, which is said; from a mark both sides."""
    data = found(command, "lot", "L1", "--count", "13", "--links", folder)
    assert data["links"] == 200
    assert "whole of lot L1" in data["notes"][0]
    both = found(command, "mark", "QL-1", "--count", "13", "--links", folder)
    strand = [one["first"] for one in both["ranges"] if one["kind"] == "strand"]
    assert strand == [37, 63]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("weld", "W08", "1"), 2, "accepted: W07"),
        (("wled", "W07", "1"), 2, "accepted: weld"),
        (("weld", "W07", "9..1"), 2, "is no range"),
        (("weld", "W07", "soon"), 2, "is no time"),
        (("weld", "W07", "99999"), 1, "nothing was found there"),
        (("weld",), 2, "a numbering, its name"),
    ],
)
def test_what_cannot_be_traced(command, folder: str, words, code: int, said: str) -> None:
    """Each mistake ends in a sentence."""
    ended = command("trace", *words, "--links", folder)
    assert (ended.code, said in ended.err) == (code, True), ended.err
