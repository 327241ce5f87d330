"""Bring the message catalogues in step with what set-up cards and certificates say.

python scripts/write_messages.py          add what is missing, compile
python scripts/write_messages.py --check  only compare; exit 1 names what is out of step

A new language: make `src/linkwright/languages/CODE/LC_MESSAGES/linkwright.po` with a head like
that of the others, run this script, and fill in every empty msgstr.
"""

from __future__ import annotations

import re
import sys
import warnings
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from linkwright.documents.certificates.content import (
    OFFICIAL,
    PURCHASER,
    TYPES,
    Certificate,
    Replaced,
    Validator,
)
from linkwright.documents.certificates.page import page_data
from linkwright.documents.certificates.reading import certificate_of_json
from linkwright.documents.display import Display
from linkwright.documents.papers import NOT_FOR_LIFTING, card_data
from linkwright.documents.steps import operation_said
from linkwright.languages.po_file import compiled, po_text, read_po
from linkwright.languages.wording import Wording, recording
from linkwright.planning.draws import Ensemble
from linkwright.processes.tearing import FRACTURE
from linkwright.services.planning import plan_order
from linkwright.works import demo_works, order_of_bytes

PLACE = re.compile(r"\{[^}]*\}")
FOLDER = Path(__file__).parents[1] / "src" / "linkwright" / "languages"
_GRADE_8 = 'standard = "EN 818-2"\ngrade = 8\n'
LINES = {
    "EN 818-2, induction": f'{_GRADE_8}size = "8 mm"',
    "EN 818-2, electroplated": f'{_GRADE_8}size = "8 mm"\nfinish = "zinc electroplated"',
    "EN 818-2, heavy machines": f'{_GRADE_8}size = "16 mm"\nfinish = "blasted"\n'
    "[line.settings]\nmarking.piece_length_m = 25",
    "EN 818-3, normalised, tumbled": 'standard = "EN 818-3"\ngrade = 4\nsize = "8 mm"\n'
    'steel = "rod 8.5 1022"\nfinish = "tumbled"',
    "DIN 766, hot-dip zinc": 'standard = "DIN 766"\ngrade = 3\nsize = "8 mm"\n'
    'finish = "hot-dip zinc"',
    "EN 818-7, case hardened": 'standard = "EN 818-7"\ngrade = "T"\nchain_type = "DT"\n'
    'size = "8 mm"',
    "jack chain No. 12": "size = 12",
    "roller chain, two strands, extruded rollers, cotters": 'standard = "ISO 606"\n'
    'size = "16B-2"\nplate_work = ["shot peening", "ball sizing"]\n'
    'pin_work = ["shearing", "cotters"]',
    "roller chain, curled rollers, with ammonia, annealed pins": 'standard = "ISO 606"\n'
    'size = "24B"\ncarbonitrided = ["bushing"]\npin_work = ["sawing", "end annealing"]',
}
"""Lines that together take every operation of the demo works, planned one by one."""
ALWAYS = (
    "within", "close", "outside", "no limit given", "given by the order", "held by this works",
    "solved", "solved for {1}", "follows", "no check stated",
    "from lot {1} after {2}", NOT_FOR_LIFTING, FRACTURE,
)  # fmt: skip


def documents() -> Iterator[dict[str, Any]]:
    """A plan of each of the lines in the demo works, with few members."""
    works = demo_works()
    for what in LINES.values():
        product = "jack" if "standard" not in what else "roller" if "ISO 606" in what else "welded"
        text = (
            '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n'
            f'[[line]]\nid = "1"\nproduct = "{product}"\nlength = "300 m"\n{what}\n'
        )
        order = order_of_bytes(text.encode(), "order.toml")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield plan_order(order, works, ensemble=Ensemble(lots=32)).document()


def heard_of(documents: Iterable[dict[str, Any]]) -> Wording:
    """Everything that the cards of some plans say, in metric and in inch units.

    And what they would say of another verdict, of a lot, or of chain that is not for lifting.
    """
    heard = recording()
    for message in ALWAYS:
        heard.say(message)
    for certificate in certificates():
        page_data(certificate, "", heard)
    for document in documents:
        for line in document["lines"]:
            for step in line["steps"]:
                operation_said(step, heard.say)
        for units in ("metric", "inch"):
            for index in range(len(document["lines"])):
                card_data(document, index, Display(units, heard), [])
    return heard


def certificates() -> Iterator[Certificate]:
    """The example in every type, in both systems of units, and as one that replaces another."""
    raw = (FOLDER.parents[2] / "examples" / "certificate.json").read_bytes()
    one = certificate_of_json(raw, "certificate.json")
    others = [Validator("B", "", acts_for) for acts_for in (PURCHASER, OFFICIAL)]
    for kind in TYPES:
        yield replace(one, type=kind, validators=(*one.validators, *others))
    pieces = one.goods.pieces[:1]
    yield replace(one, units="inch", replaces=Replaced("1", "", "other"),
                  goods=replace(one.goods, pieces=pieces))  # fmt: skip
    for verdict in ("not met", "undecided"):
        lines = tuple(replace(line, verdict=verdict) for line in one.requirements)
        yield replace(one, requirements=lines)


def catalogues() -> Iterator[Path]:
    """The .po files."""
    return iter(sorted(FOLDER.glob("*/LC_MESSAGES/*.po")))


def brought_up(catalogue: dict[str, str], heard: Wording) -> dict[str, str]:
    """The catalogue with every message that is heard; what it has besides, it keeps.

    Other works say other things than the demo, and a translation is work that is not thrown away.
    """
    return {**dict.fromkeys(heard.missing, ""), **catalogue}


def main(arguments: list[str]) -> int:
    """Compare or write; see the module."""
    heard = heard_of(documents())
    wrong = []
    for path in catalogues():
        text = path.read_text(encoding="utf-8")
        wanted = brought_up(read_po(text, str(path)), heard)
        lacks = [message for message, said in wanted.items() if not said]
        wrong += [f"{path}: no words for: {message}" for message in lacks]
        if "--check" in arguments:
            kept = path.with_suffix(".mo").read_bytes() == compiled(wanted)
            wrong += [] if kept and po_text(wanted) == text else [f"{path}: not in step"]
        else:
            path.write_text(po_text(wanted), encoding="utf-8", newline="\n")
            path.with_suffix(".mo").write_bytes(compiled(wanted))
    print("\n".join(wrong) or "all catalogues say everything")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
