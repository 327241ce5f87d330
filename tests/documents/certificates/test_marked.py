"""The data as XML: valid by the published schema, with the codes of EN 10168."""

from dataclasses import replace
from pathlib import Path

from certified import example, small, two_signed
from lxml import etree

from linkwright.documents.certificates.marked import NAMESPACE, xml_of, xsd
from linkwright.documents.certificates.reading import json_schema

SCHEMAS = Path(__file__).parents[3] / "schemas"


def test_the_published_schemas_are_those_of_the_program() -> None:
    """After a change: linkwright schema certificate-xml > schemas/certificate.xsd, and so on."""
    assert (SCHEMAS / "certificate.xsd").read_text("utf-8") == xsd()
    assert (SCHEMAS / "certificate.schema.json").read_text("utf-8") == json_schema()


def test_certificates_are_valid_by_the_schema() -> None:
    """Libxml2 judges, a reader that knows nothing of this program."""
    schema = etree.XMLSchema(etree.fromstring(xsd().encode()))
    for one in (example(), small(), two_signed()):
        schema.assertValid(etree.fromstring(xml_of(one)))
    spoiled = xml_of(example()).replace(b">300.0<", b">300 m<", 1)
    assert not schema.validate(etree.fromstring(spoiled))


def test_fields_carry_their_codes_and_values_come_back() -> None:
    root = etree.fromstring(xml_of(example()))
    name = {"c": NAMESPACE}
    assert root.findtext("c:number[@code='A03']", namespaces=name) == "QL-2026-0417"
    assert root.findtext("c:maker/c:mark[@code='A04']", namespaces=name) == "QL"
    values = root.findall("c:requirements/c:requirement/c:results/c:result/c:value", name)
    told = [float(value.text or "nan") for value in values]
    assert told == [
        result.value for line in example().requirements for result in line.results
        if result.value is not None
    ]  # fmt: skip


def test_what_looks_like_markup_stays_text() -> None:
    text = "<script>&amp; \"#read('x')\" ]]>"
    root = etree.fromstring(xml_of(replace(example(), remarks=(text,))))
    assert root.findtext("c:remarks/c:remark", namespaces={"c": NAMESPACE}) == text
