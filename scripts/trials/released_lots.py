"""A process that takes lots from work to certificate until it is killed.

Each act has its key, so that the next process can begin with the same lot; each confirmed act is
told on standard output.

python released_lots.py PLACE FIRST
"""

from __future__ import annotations

import itertools
import sys
from typing import Any

from linkwright.records.acts import acts, do
from linkwright.records.means import Made, Means
from linkwright.records.people import Signed
from linkwright.records.store import Store, open_store
from linkwright.services.books import judged
from linkwright.works.canonical import canonical_bytes, content_hash

PEOPLE = {"ben": {"record", "sell"}, "cleo": {"check"}, "dora": {"release"}, "anna": {"administer"}}


def means() -> Means:
    """The judge of the program, and a certificate that is only its facts."""
    return Means(
        judged, lambda facts: Made(canonical_bytes(facts), content_hash(facts), b"paper " * 200)
    )


def act(
    store: Store, key: str | None, name: str, person: str = "ben", /, **given: Any
) -> tuple[int, list[dict[str, Any]], bool]:
    """Do an act as one of the people."""
    signed = Signed(f"person:{person}", frozenset(PEOPLE[person]), person)
    return do(store, signed, acts()[name], given, why="trial", key=key)


def prepared(store: Store) -> None:
    """People, an order with a line and its requirement, accepted metal, a gauge, a set-up."""
    from linkwright.records.people import begin  # noqa: PLC0415

    begin(store, "anna", "Anna (invented)", "seven slow coils of wire")
    for person in ("ben", "cleo", "dora"):
        act(store, None, "add_person", "anna", person=person, name=person,
            pass_phrase="of " * 5 + person, roles=" ".join(PEOPLE[person]))  # fmt: skip
    act(store, None, "add_customer", customer="K", name="invented")
    act(store, None, "take_order", order="O", customer="K", due_on="2199-01-01")
    line = {"product": "welded chain", "standard": "EN 818-2", "grade": "8", "size_mm": 8.0}
    act(store, None, "add_line", order="O", number=1, length_mm=10**9, **line)
    act(store, None, "ask_of_line", line="O/1", characteristic="breaking force", unit="kN",
        least=80.4, source="EN 818-2 (from memory)")  # fmt: skip
    act(store, None, "add_heat", heat="H", steel="invented", analysis=["C=0.2"])
    act(store, None, "receive_coil", coil="C", heat="H", received_on="2026-11-02", mass_kg=1e3,
        diameter_mm=8.5, tag="x", document_names="x")  # fmt: skip
    act(store, None, "check_coil", "cleo", coil="C", diameter_mm=8.5, tensile_strength_MPa=600.0,
        allowed_off_mm=0.1, least_MPa=500.0, greatest_MPa=700.0, surface_good=True)  # fmt: skip
    act(store, None, "keep_gauge", "cleo", gauge="P", measures="breaking force", unit="kN")
    act(store, None, "calibrate", "cleo", gauge="P", calibrated_on="2026-10-01", least=1.0,
        valid_until="2199-01-01", greatest=400.0, standard_uncertainty=0.3, good=True)  # fmt: skip
    act(store, None, "add_machine", "cleo", machine="W", work="welding")
    act(store, None, "set_up_machine", machine="W", line="O/1", card_digest="x", settings=["x"])
    act(store, None, "sign_first_article", "cleo", set_up="O/1/W", measured=["x"], good=True)
    act(store, None, "keep_type_test", "cleo", type_test="T", steel="invented", route="x",
        good=True, band=["a=0..1"], tested_on="2026-05-01",
        **{key: line[key] for key in ("product", "standard", "grade", "size_mm")})  # fmt: skip


def steps(number: int) -> list[tuple[str, str, dict[str, Any]]]:
    """The acts of one lot, in order: name, person, arguments."""
    lot, piece = f"L{number}", f"L{number}-P"
    return [
        ("start_lot", "ben", {"lot": lot, "line": "O/1", "type_test": "T"}),
        ("use_coil", "ben", {"lot": lot, "coil": "C"}),
        ("make_piece", "ben", {"lot": lot, "piece": piece, "length_mm": 10_000}),
        ("cut_piece", "ben", {"piece": piece, "lengths_mm": [1000, 9000]}),
        ("take_sample", "ben", {"piece": f"{piece}.1"}),
        ("present_lot", "ben", {"lot": lot}),
        ("record_test", "ben", {"lot": lot, "characteristic": "breaking force", "value": 86.0,
                                "gauge": "P", "tested_on": "2026-11-20", "piece": f"{piece}.1"}),
        ("propose", "cleo", {"lot": lot, "disposition": "release"}),
        ("decide", "dora", {"proposal": f"{lot}/1", "agree": True}),
        ("issue_certificate", "dora", {"lot": lot}),
    ]  # fmt: skip


def main() -> None:
    """Lots without end."""
    store = open_store(sys.argv[1], means())
    print("ready", flush=True)
    for number in itertools.count(int(sys.argv[2])):
        for place, (name, person, given) in enumerate(steps(number)):
            act(store, f"{number}/{place}", name, person, **given)
            print(f"done {number}/{place}", flush=True)


if __name__ == "__main__":
    main()
