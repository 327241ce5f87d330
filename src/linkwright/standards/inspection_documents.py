"""Papers that go with a delivery: types, fields and contents of inspection documents.

- EN 10204: `inspection_document`, `inspection_document_successor`
- EN 10168: `inspection_field`, `inspection_field_group`
- contents: `lifting_chain_certificate`, `machinery_chain_certificate`, `report_items`,
  `conformity_statement_items`
- `machinery_working_coefficient`
"""

from __future__ import annotations

import re
from typing import NamedTuple

from linkwright.catalogue import calculation
from linkwright.quantities import UnknownName
from linkwright.standards.en818_2 import certificate_items
from linkwright.standards.reader import published_table

_CODE = re.compile(r"([A-Z])(\d{2})(?:-([A-Z])(\d{2}))?")


class InspectionDocument(NamedTuple):
    """Results of `inspection_document`."""

    meaning: str
    results: bool
    inspection: str
    validated_by: list[str]


class MachineryCertificate(NamedTuple):
    """Results of `machinery_chain_certificate`."""

    items: list[str]
    marking: str


@calculation(
    source="EN 10204:2004, Metallic products - Types of inspection documents, clauses 3 and 4",
    basis="memory",
)
def inspection_document(*, type: str) -> InspectionDocument:
    """What an inspection document of a type says, and who validates it.

    Args:
        type: ``2.1``, ``2.2``, ``3.1`` or ``3.2``.

    References:
        EN 10204:2004 (remembered; wording ours).
    """
    cells = published_table("en10204").row(type, "type").cells
    return InspectionDocument(*(cells[name] for name in InspectionDocument._fields))


@calculation(
    source="EN 10204:2004, annex on the earlier edition of 1991 (old types and their successors)",
    basis="memory",
    gives="new",
)
def inspection_document_successor(*, old: str) -> str:
    """Type of EN 10204:2004 that follows one of the edition of 1991; ``none`` if none does.

    Args:
        old: ``2.1``, ``2.2``, ``2.3``, ``3.1.A``, ``3.1.B``, ``3.1.C`` or ``3.2``.

    References:
        EN 10204:2004 (remembered).
    """
    return str(published_table("en10204_old").row(old, "old").cells["new"])


@calculation(
    source="EN 10168:2004, Steel products - Inspection documents - List of information and "
    "description (field codes)",
    basis="memory",
    gives="meaning",
)
def inspection_field(*, code: str) -> str:
    """What a field code of an inspection document stands for.

    Args:
        code: Such as ``B07``; a range such as ``C71-C92``, or a code within it.

    References:
        EN 10168:2004 (remembered; wording ours).

    Example:
        >>> inspection_field(code="B10")
        'dimensions of the product'
    """
    table = published_table("en10168")
    if not table.holds(code):
        for row in table:
            if _within(code, str(row.cells["code"])):
                return str(row.cells["meaning"])
    return str(table.row(code, "code").cells["meaning"])


@calculation(
    source="EN 10168:2004, Steel products - Inspection documents - List of information and "
    "description (groups of field codes)",
    basis="memory",
    gives="meaning",
)
def inspection_field_group(*, group: str) -> str:
    """What the letter of a field code covers.

    Args:
        group: A, B, C, D or Z.

    References:
        EN 10168:2004 (remembered; wording ours).
    """
    return str(published_table("en10168_groups").row(group, "group").cells["meaning"])


@calculation(
    source="EN 818-1, Short link chain for lifting purposes - Safety - General conditions of "
    "acceptance, clause on the certificate",
    basis="memory",
    gives="items",
)
def lifting_chain_certificate(*, document: str = "manufacturer certificate") -> list[str]:
    """Items of the manufacturer's certificate of short link lifting chain.

    Args:
        document: ``manufacturer certificate``.

    References:
        EN 818-1 (remembered; wording ours; check the edition before use).
    """
    if document.strip().lower() != "manufacturer certificate":
        raise UnknownName("document", document, ["manufacturer certificate"])
    return list(certificate_items())


@calculation(
    source="Directive 2006/42/EC, Annex I, 4.3.1 (certificate with lifting chain)",
    basis="memory",
)
def machinery_chain_certificate(*, product: str) -> MachineryCertificate:
    """Least content of the certificate with chain sold by length, and its mark.

    Regulation (EU) 2023/1230 replaces the directive from 20 January 2027.

    Args:
        product: ``chain sold by length``.

    References:
        Directive 2006/42/EC, Annex I, 4.3.1 (remembered; wording ours).
    """
    cells = published_table("machinery_certificate").row(product, "product").cells
    return MachineryCertificate(list(cells["items"]), str(cells["marking"]))


@calculation(
    source="Directive 2006/42/EC, Annex I, 4.1.2.5 (b) (working coefficient)",
    basis="memory",
    gives="working_coefficient",
)
def machinery_working_coefficient(*, chain: str) -> float:
    """Working coefficient of chain of welded links, as a general rule.

    Local codes and the standard of the product come first.

    Args:
        chain: ``short-link``.

    References:
        Directive 2006/42/EC, Annex I, 4.1.2.5 (remembered).
    """
    return float(
        published_table("working_coefficient").row(chain, "chain").cells["working_coefficient"]
    )


@calculation(
    source="ISO/IEC 17025:2017, 7.8.2.1 (items of a test report)", basis="memory", gives="items"
)
def report_items(*, document: str = "test report") -> list[str]:
    """Items that a test report carries.

    Args:
        document: ``test report``.

    References:
        ISO/IEC 17025:2017, 7.8.2.1 (remembered; wording ours).
    """
    return list(published_table("iso17025").row(document, "document").cells["items"])


@calculation(
    source="ISO/IEC 17025:2017, 7.8.6 (statement of conformity, decision rule)",
    basis="memory",
    gives="items",
)
def conformity_statement_items(*, statement: str = "conformity") -> list[str]:
    """What a statement of conformity has to tell.

    Args:
        statement: ``conformity``.

    References:
        ISO/IEC 17025:2017, 7.8.6 (remembered; wording ours).
    """
    return list(published_table("iso17025_statement").row(statement, "statement").cells["items"])


def _within(code: str, listed: str) -> bool:
    one, of = _CODE.fullmatch(code.strip().upper()), _CODE.fullmatch(listed)
    if one is None or of is None or of[4] is None or one[3] is not None:
        return False
    return one[1] == of[1] and int(of[2]) <= int(one[2]) <= int(of[4])
