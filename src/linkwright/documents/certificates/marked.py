"""The data as XML, and the schema that describes it, both from the fields of the dataclasses.

Elements have our own names, those of the fields; a field of EN 10168 carries its code as attribute
``code``. `xml_of(certificate)` is one fixed form: the same data gives the same bytes, so that a
reader of the JSON can check the XML by making it again. `xsd()` is the published schema.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from linkwright.documents.certificates import content
from linkwright.documents.certificates.content import Certificate, plain

NAMESPACE = "urn:linkwright:certificate:1"
_ROOT = "certificate"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_ITEMS = {
    "requirements": "requirement", "results": "result", "pieces": "piece", "heats": "heat",
    "analysis": "element", "validators": "validator", "technical_file": "document",
    "remarks": "remark", "address": "line", "records": "record",
}  # fmt: skip
_SIMPLE = {str: "xs:string", float: "xs:double", int: "xs:integer", bool: "xs:boolean"}


def xml_of(certificate: Certificate) -> bytes:
    """The certificate as XML; what is None has no element."""
    body = "".join(_element(_ROOT, certificate, "", 0, f" xmlns={quoteattr(NAMESPACE)}"))
    return (_HEAD + body).encode("utf-8")


def _element(name: str, value: Any, code: str, deep: int, extra: str = "") -> Iterator[str]:
    pad = "  " * deep
    begin = f"{pad}<{name}{extra}" + (f" code={quoteattr(code)}" if code else "")
    if is_dataclass(value):
        yield f"{begin}>\n"
        for one in fields(value):
            inner = getattr(value, one.name)
            if inner is not None:
                of = one.metadata.get("code", "")
                yield from _element(one.name, _as_typed(one.type, inner), of, deep + 1)
        yield f"{pad}</{name}>\n"
    elif isinstance(value, (tuple, list)):
        yield f"{begin}>\n" if value else f"{begin}/>\n"
        for inner in value:
            yield from _element(_ITEMS[name], inner, "", deep + 1)
        if value:
            yield f"{pad}</{name}>\n"
    else:
        yield f"{begin}>{_text(value)}</{name}>\n"


def _as_typed(kind: Any, value: Any) -> Any:
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) + 0.0 if is_number and "float" in str(kind) else value


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return escape(str(plain(value)))


def xsd() -> str:
    """The XML Schema of a certificate."""
    parts = [
        part for part in vars(content).values()
        if isinstance(part, type) and is_dataclass(part)
    ]  # fmt: skip
    lines = [
        _HEAD.rstrip(),
        f'<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns="{NAMESPACE}"'
        f' targetNamespace="{NAMESPACE}" elementFormDefault="qualified">',
        f'  <xs:element name="{_ROOT}" type="Certificate"/>',
    ]
    for part in parts:
        lines += _complex(part)
    lines += _coded_types()
    return "\n".join([*lines, "</xs:schema>", ""])


def _complex(part: type) -> Iterator[str]:
    hints = typing.get_type_hints(part)
    yield f'  <xs:complexType name="{part.__name__}">'
    yield "    <xs:sequence>"
    for one in fields(part):
        yield from _declared(one.name, hints[one.name], one.metadata.get("code", ""))
    yield "    </xs:sequence>"
    yield "  </xs:complexType>"


def _declared(name: str, kind: Any, code: str) -> Iterator[str]:
    may_lack = ""
    if isinstance(kind, types.UnionType):
        may_lack = ' minOccurs="0"'
        kind = next(one for one in typing.get_args(kind) if one is not types.NoneType)
    if typing.get_origin(kind) is tuple:
        inner = typing.get_args(kind)[0]
        of = _SIMPLE.get(inner) or inner.__name__
        yield f'      <xs:element name="{name}"><xs:complexType><xs:sequence>'
        yield (f'        <xs:element name="{_ITEMS[name]}" type="{of}" minOccurs="0"'
               ' maxOccurs="unbounded"/>')  # fmt: skip
        yield f"      </xs:sequence>{_fixed(code)}</xs:complexType></xs:element>"
    elif is_dataclass(kind):
        of = typing.cast(type, kind).__name__
        yield f'      <xs:element name="{name}" type="{of}"{may_lack}/>'
    elif code:
        yield f'      <xs:element name="{name}" type="{_coded_name(kind, code)}"{may_lack}/>'
    else:
        yield f'      <xs:element name="{name}" type="{_SIMPLE[kind]}"{may_lack}/>'


def _coded_types() -> Iterator[str]:
    made = set()
    for part in vars(content).values():
        if not (isinstance(part, type) and is_dataclass(part)):
            continue
        hints = typing.get_type_hints(part)
        for one in fields(part):
            kind, code = hints[one.name], one.metadata.get("code", "")
            if isinstance(kind, types.UnionType):
                kind = next(k for k in typing.get_args(kind) if k is not types.NoneType)
            if code and kind in _SIMPLE and (kind, code) not in made:
                made.add((kind, code))
                yield f'  <xs:complexType name="{_coded_name(kind, code)}"><xs:simpleContent>'
                yield f'    <xs:extension base="{_SIMPLE[kind]}">{_fixed(code)}</xs:extension>'
                yield "  </xs:simpleContent></xs:complexType>"


def _coded_name(kind: type, code: str) -> str:
    return f"{'number' if kind is float else 'text'}-{code}"


def _fixed(code: str) -> str:
    if not code:
        return ""
    return f'<xs:attribute name="code" type="xs:string" use="required" fixed="{code}"/>'
