"""Names of the program in words for paper: settings, findings, sources of scatter.

Offers `words`, `source_in_words`, `derived_name`, `source_text` and `plain_text`.
"""

from __future__ import annotations

import re
import unicodedata

from linkwright.quantities import split

_WHOLE = {
    "links_per_min": "links per minute",
    "links_per_s": "links per second",
    "links_per_stroke_count": "links per stroke",
    "links_between_marks": "links between two marks",
    "reduction": "reduction of area",
    "bearable_force_kN": "force every link bears",
    "force_over_breaking_ratio": "force over breaking force",
    "n": "hardening exponent n",
    "K_MPa": "strength coefficient K",
    "E_MPa": "modulus of elasticity E",
    "turns": "turns of the coil",
    "biot": "Biot number",
    "c_bend_angle_deg": "angle of the C-bend",
    "c_opening_mm": "free mouth of the open C",
    "temperature_degC": "temperature",
    "bow_per_metre_mm": "bow in one metre",
    "straight_rate_K_per_s": "straight",
    "contact_rate_K_per_s": "contact",
}
_ELEMENTS = {
    "Al": "aluminium", "As": "arsenic", "B": "boron", "C": "carbon", "Co": "cobalt",
    "Cr": "chromium", "Cu": "copper", "H": "hydrogen", "Mn": "manganese", "Mo": "molybdenum",
    "N": "nitrogen", "Nb": "niobium", "Ni": "nickel", "O": "oxygen", "P": "phosphorus",
    "S": "sulphur", "Si": "silicon", "Sn": "tin", "Ti": "titanium", "V": "vanadium",
    "W": "tungsten",
}  # fmt: skip
_PARTS = {
    "Ac1": "Ac1", "Ac3": "Ac3", "HV": "hardness HV", "count": "", "creusot": "Creusot",
    "loire": "Loire", "poisson": "Poisson", "siebel": "Siebel", "schey": "Schey",
    "hollomon": "Hollomon", "jaffe": "Jaffe", "swift": "Swift", "andrews": "Andrews",
    "johnson": "Johnson",
}  # fmt: skip
_LEVELS = {
    "heat": "from heat to heat",
    "lot": "from lot to lot",
    "link": "from link to link",
}
_ORDER_OF_SOURCE = 3
_PLAIN_BRANCHES = ("rod", "wire", "link", "chain")
"""Branches of a straight route, which need not be named."""
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:mm|m|kN|MPa|HV|%|°C|K|h|s)\b|%|°C)")


def words(name: str) -> str:
    """A name with unit in words: the stem, with the trade's word where there is one.

    >>> words("die_half_angle_deg"), words("Cr_percent"), words("links_per_min")
    ('die half angle', 'chromium', 'links per minute')
    """
    if name in _WHOLE:
        return _WHOLE[name]
    stem = split(name)[0]
    lead, _, element = stem.rpartition("_")
    if name.endswith("_percent") and element in _ELEMENTS:
        return f"{lead.replace('_', ' ')} {_ELEMENTS[element]}".strip()
    parts = [_PARTS.get(part, part) for part in stem.split("_")]
    return plain_text(" ".join(part for part in parts if part))


def source_in_words(name: str) -> str:
    """A source of scatter, or a factor of a model, in words.

    >>> source_in_words("lot/wire/drawing/wire_diameter_mm")
    'wire diameter at drawing, from lot to lot'
    >>> source_in_words("factor/tempering/hardness")
    'model factor of tempering: hardness'
    """
    parts = name.split("/")
    if parts[0] == "factor" and len(parts) == _ORDER_OF_SOURCE:
        return f"model factor of {parts[1].replace('_', ' ')}: {words(parts[2])}"
    if parts[0] in _LEVELS and len(parts) > _ORDER_OF_SOURCE:
        part = "" if parts[1] in _PLAIN_BRANCHES else f" of {parts[1].replace('_', ' ')}"
        where = parts[-2].replace("_", " ")
        return f"{words(parts[-1])} at {where}{part}, {_LEVELS[parts[0]]}"
    return plain_text(name.replace("/", ", ").replace("_", " "))


def derived_name(name: str) -> str:
    """The name of a derivation's entry in words; a result drops its calculation.

    >>> derived_name("coil_exit.crown_temperature_degC"), derived_name("material=steel, soft")
    ('crown temperature', 'material: steel, soft')
    """
    if name.startswith("factor/"):
        return source_in_words(name)
    before, equals, chosen = name.partition("=")
    if equals:
        return f"{words(before)}: {plain_text(chosen)}"
    return words(name.rpartition(".")[2])


def source_text(source: object) -> str:
    r"""A source as printed: a number and its unit stay on one line.

    >>> source_text("EN 818-2, 5.4.1, 8 mm, 400 degC")
    'EN 818-2, 5.4.1, 8\xa0mm, 400\xa0°C'
    """
    return _BEFORE_UNIT.sub("\u00a0", plain_text(source).replace(" degC", " °C"))


def plain_text(text: object) -> str:
    r"""Text without control and direction marks, so that a page cannot be disturbed.

    >>> plain_text("a\x00b\u202ec")
    'a b c'
    """
    written = str(text)
    if written.isprintable():
        return written
    return "".join(
        " " if unicodedata.category(letter) in {"Cc", "Cf", "Cs", "Co"} else letter
        for letter in written
    )
