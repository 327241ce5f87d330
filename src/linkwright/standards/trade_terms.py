"""Words and codes of trade documents: delivery terms, units, customs headings, currencies.

Offers `delivery_terms_of_group`, `delivery_term`, `delivery_insurance`, `unit_of_code`,
`customs_heading` and `currency`.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import calculation
from linkwright.quantities import UnknownName
from linkwright.standards.reader import published_table


class DeliveryTerm(NamedTuple):
    """Results of `delivery_term`."""

    export_clearance: str
    import_clearance: str
    seller_must_insure: bool
    seller_pays_main_carriage: bool
    risk_passes: str
    group: str


class Insurance(NamedTuple):
    """Results of `delivery_insurance`."""

    institute_cargo_clauses: str
    cover_percent_of_contract_price: float


class Currency(NamedTuple):
    """Results of `currency`."""

    numeric: int
    decimals: int


@calculation(source="ICC, Incoterms 2020 (terms by mode)", basis="memory", gives="terms")
def delivery_terms_of_group(*, group: str) -> list[str]:
    """Terms of delivery for any mode of transport, or for sea and inland waterway.

    Args:
        group: ``any mode`` or ``sea and inland waterway``.

    References:
        ICC, Incoterms 2020 (remembered).
    """
    found = [row.cells["term"] for row in published_table("incoterms").where(group=group.strip())]
    if not found:
        raise UnknownName("group", group, ["any mode", "sea and inland waterway"])
    return [str(one) for one in found]


@calculation(
    source="ICC, Incoterms 2020, rules A2 to A9 (duties of seller and buyer, where risk passes)",
    basis="memory",
)
def delivery_term(*, term: str) -> DeliveryTerm:
    """Who clears and insures under a term of delivery, and where the risk passes.

    Args:
        term: Three letters.

    References:
        ICC, Incoterms 2020 (remembered; wording ours, the ICC's text binds).
    """
    cells = published_table("incoterms").row(term, "term").cells
    return DeliveryTerm(*(cells[name] for name in DeliveryTerm._fields))


@calculation(source="ICC, Incoterms 2020, rules A5 (least insurance cover)", basis="memory")
def delivery_insurance(*, term: str) -> Insurance:
    """Least cover that the seller has to buy: clauses and share of the contract price.

    Args:
        term: ``CIP`` or ``CIF``; no other term asks for insurance.

    References:
        ICC, Incoterms 2020, A5 (remembered).
    """
    cells = published_table("incoterms").where(seller_must_insure=True).row(term, "term").cells
    return Insurance(*(cells[name] for name in Insurance._fields))


@calculation(
    source="UN/CEFACT Recommendation 20, Codes for Units of Measure", basis="memory", gives="unit"
)
def unit_of_code(*, code: str) -> str:
    """Unit that a code of trade documents stands for.

    Args:
        code: Such as ``KGM``.

    References:
        UN/CEFACT Recommendation 20 (remembered).
    """
    return str(published_table("rec20").row(code, "code").cells["unit"])


@calculation(
    source="World Customs Organization, Harmonized System 2022, heading 73.15 (chain)",
    basis="memory",
    gives="goods",
)
def customs_heading(*, code: str) -> str:
    """Goods of a customs heading of iron and steel chain.

    Args:
        code: Such as ``7315.82``.

    References:
        Harmonized System 2022, 73.15 (remembered; wording ours).
    """
    return str(published_table("hs_chain").row(code, "code").cells["goods"])


@calculation(source="ISO 4217:2015 and its code list", basis="memory")
def currency(*, currency: str) -> Currency:
    """Numeric code and decimals of a currency; the code has three characters (48 is 048).

    Args:
        currency: Three letters.

    References:
        ISO 4217:2015 (remembered).
    """
    cells = published_table("iso4217").row(currency, "currency").cells
    return Currency(int(cells["numeric"]), int(cells["decimals"]))
