"""`linkwright link`."""

import json
import re

from json_page import described, keys_of

LINK = ("link", "--diameter", "8mm", "--pitch", "24mm", "--inner-width", "10.8mm",
        "--strength", "1180MPa", "--fineness", "coarse")  # fmt: skip


def test_json_holds_what_the_page_describes(command) -> None:
    """Every key is described and every described key is there."""
    ended = command(*LINK, "--proof", "50.3kN", "--json")
    assert ended.code == 0
    data = json.loads(ended.out)
    assert keys_of(data) == described("link")
    assert "no rating" in ended.err
    assert 79 < data["pull"]["maximum_force_kN"] < 82


def test_a_person_reads_forces_with_units_and_the_caution(command) -> None:
    """Without a proof nothing is said of one."""
    ended = command(*LINK)
    assert re.search(r"maximum force +8\d\.\d+ kN", ended.out)
    assert "Proved" not in ended.out
    assert "no rating" in ended.err


def test_wrong_input_ends_with_exit_code_2(command) -> None:
    """A neighbour's wire that does not fit; the message says what would."""
    ended = command(*LINK[:6], "7mm", *LINK[7:])
    assert ended.code == 2
    assert "so that the neighbour's wire fits" in ended.err
