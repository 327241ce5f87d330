"""Signatures: whole only in one form, vouched for only by an anchor, read by others too."""

import io
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from asn1crypto import pem
from asn1crypto import x509 as asn1_x509
from certified import (
    BEGUN,
    PHRASE,
    SIGNED,
    authority,
    changed,
    drawing,
    edited,
    example,
    example_file,
    inspector,
    signed,
    small,
    small_file,
    stranger,
    two_signed,
)
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from linkwright.documents.certificates import paper as making
from linkwright.documents.certificates.content import plain
from linkwright.documents.certificates.keys import Key, NoKey, key_of, loaded, make_key
from linkwright.documents.certificates.paper import paper
from linkwright.documents.certificates.revision import NotInForm, Signed, opened, prepared
from linkwright.documents.certificates.verifying import NoCertificate, Verified, verified
from linkwright.quantities import InputErrors

TRUST = authority()[1]
WIDE = 300
PDFSIG = shutil.which("pdfsig") or ""


def state(raw: bytes) -> str:
    """The state of the signature, ``none`` for what is no certificate; the page is left alone."""
    try:
        return verified(raw, anchors=TRUST, page=False).signature.state
    except NoCertificate:
        return "none"


def place(raw: bytes) -> Signed:
    return opened(raw).signatures[-1]


def test_a_certificate_is_good_where_its_key_is_vouched_for() -> None:
    found = verified(example_file(), anchors=TRUST)
    assert found.good
    assert found.signature.said.endswith("vouched for by Quarry Lane works, keys")
    assert "page, square code and printed fingerprint say the same" in found.data.said
    assert found.status.state == "unknown"
    assert found.certificate == example()


def test_without_an_anchor_nobody_vouches() -> None:
    found = verified(small_file(), page=False)
    assert found.signature.state == "unknown"
    assert "by a key nobody here vouches for" in found.signature.said
    assert not found.good
    found = verified(small_file(), anchors=stranger()[1], page=False)
    assert found.signature.state == "bad"


def test_a_key_that_stands_for_itself_is_its_own_anchor() -> None:
    key, trust = stranger()
    raw = signed(paper(small()), small().validators[0].name, key)
    assert verified(raw, anchors=trust, page=False).good


def test_an_rsa_key_signs_as_well() -> None:
    raw = signed(paper(small()), small().validators[0].name, inspector("rsa"))
    assert verified(raw, anchors=TRUST, page=False).good
    one = place(raw)
    digits = len(one.contents.rstrip(b"0"))
    for at in drawing(5).sample(range(one.begin, one.begin + digits), 60):
        assert state(changed(raw, at, at % 8)) in ("bad", "none")


def test_a_signature_outside_the_years_of_its_key_is_not_vouched_for() -> None:
    raw = signed(paper(small()), small().validators[0].name, inspector(), "20401218094500")
    assert verified(raw, anchors=TRUST, page=False).signature.state == "bad"


def test_an_authority_signs_no_certificates() -> None:
    raw = signed(paper(small()), small().validators[0].name, authority()[0])
    assert verified(raw, anchors=TRUST, page=False).signature.state == "bad"


@pytest.mark.parametrize("which", [small_file, example_file])
def test_random_flipped_bits_are_found(which: Any) -> None:
    raw, drawn = which(), drawing(20261218)
    for _ in range(WIDE):
        at, bit = drawn.randrange(len(raw)), drawn.randrange(8)
        assert state(changed(raw, at, bit)) in ("bad", "none"), (at, bit)


def test_flipped_bits_around_and_in_the_signature_are_found() -> None:
    """A bit of every byte of signature, ranges, table of places and trailer."""
    raw, drawn = small_file(), drawing(7)
    one = place(raw)
    used = one.begin + len(one.contents.rstrip(b"0")) + 40
    for at in (*range(one.begin - 200, one.begin + 120), *range(one.begin, used, 5),
               *range(one.after, len(raw))):  # fmt: skip
        bit = drawn.randrange(8)
        assert state(changed(raw, at, bit)) in ("bad", "none"), (at, bit)


def test_an_authority_under_an_authority_vouches_for_nobody() -> None:
    """A works' authority may have no other below it (path length 0)."""
    above, trust = authority()
    with pytest.raises(NoKey, match="stands for itself"):
        make_key("between", PHRASE, BEGUN, issuer=above, authority=True)
    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "between")])
    usage = above.certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    between = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(above.certificate.subject)
        .public_key(private.public_key())
        .serial_number(77)
        .not_valid_before(BEGUN)
        .not_valid_after(BEGUN.replace(year=2030))
        .add_extension(x509.BasicConstraints(True, 0), critical=True)
        .add_extension(usage, critical=True)
        .sign(above.private, hashes.SHA256())
    )
    below = Key(private, between, (above.certificate,))
    packed, _pem = make_key("inspector", PHRASE, BEGUN, issuer=below)
    raw = signed(paper(small()), small().validators[0].name, key_of(packed, PHRASE, "x"))
    found = verified(raw, anchors=trust, page=False)
    assert found.signature.state == "bad"
    assert "by a key nobody here vouches for" in found.signature.said


def test_the_count_of_unused_bits_in_a_certificate_cannot_be_changed() -> None:
    """Readers overlook it where the last bits of a signature happen to be zero: about half do."""
    for _ in range(8):
        packed, _pem = make_key("authority", PHRASE, BEGUN, authority=True)
        above = key_of(packed, PHRASE, "authority")
        der = above.certificate.public_bytes(serialization.Encoding.DER)
        at = der.rindex(above.certificate.signature) - 1
        assert der[at] == 0
        assert loaded(der) == above.certificate
        for bit in range(8):
            with pytest.raises(ValueError, match=r".+"):
                loaded(changed(der, at, bit))


def test_other_writings_of_the_same_signature_are_refused() -> None:
    raw = small_file()
    one = place(raw)
    upper = raw[: one.begin] + raw[one.begin : one.after].upper() + raw[one.after :]
    assert state(upper) == "bad"
    spare = raw[: one.after - 2] + b"f" + raw[one.after - 1 :]
    assert state(spare) == "bad"
    for more in (b"\n", b" ", b"%", b"\0", b"%%EOF\n", raw):
        assert state(raw + more) == "bad"
    for less in (1, 2, 5, 100, len(raw) // 2):
        assert state(raw[:-less]) in ("bad", "none")
    assert state(b"\n" + raw) == "bad"


def test_a_revision_that_is_no_signature_is_refused() -> None:
    """An update that shows another page would be kept by many readers."""
    raw = small_file()
    table = raw.rindex(b"startxref\n") + len(b"startxref\n")
    before = raw[table:].split(b"\n")[0]
    added = b"9 0 obj\n<<>>\nendobj\n"
    at = len(raw)
    end = raw[raw.rindex(b"trailer") : raw.rindex(b"/Prev")] + b"/Prev " + before + b">>\n"
    more = added + b"xref\n9 1\n%010d 00000 n \n" % at + end
    more += b"startxref\n%d\n%%%%EOF\n" % (at + len(added))
    assert state(raw + more) == "bad"


def test_a_signed_file_with_another_page_inside_is_refused() -> None:
    """Somebody with a key changes the page but not the data: the page is made again and differs."""
    page = paper(small())
    spoiled = page.replace(b"/MediaBox[0 0 595.2756", b"/MediaBox[0 0 595.2755")
    raw = signed(spoiled, small().validators[0].name, inspector())
    found = verified(raw, anchors=TRUST)
    assert found.signature.state == "good"
    assert found.data.said == "data not as signed: the page is not what is made from the data"
    assert not found.good


@pytest.mark.parametrize(
    ("what", "old", "new", "told"),
    [
        ("xml_of", b"jack chain", b"jill chain", "JSON and XML do not say the same"),
        ("canonical_bytes", b'"number":', b'"number": ', "not in canonical form"),
        ("canonical_bytes", b'"number":', b'"numbre":', "certificate.json"),
        ("canonical_bytes", b"jack chain", b"jill chain", "JSON and XML do not say the same"),
    ],
)
def test_a_signed_file_whose_data_are_not_one_is_refused(
    monkeypatch: pytest.MonkeyPatch, what: str, old: bytes, new: bytes, told: str
) -> None:
    """Somebody with a key puts other data into the file than the page was made from."""
    as_it_was = getattr(making, what)
    with monkeypatch.context() as other:
        other.setattr(making, what, lambda content: as_it_was(content).replace(old, new))
        page = making.paper(small())
    found = verified(signed(page, small().validators[0].name, inspector()), anchors=TRUST)
    assert found.data.state == "bad"
    assert told in found.data.said
    assert not found.good


def test_a_lot_that_was_never_released_is_seen_though_somebody_signed_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whoever has the key but goes round the rules is found out by them."""
    one = replace(small(), release=replace(small().release, state="held"))
    with monkeypatch.context() as other:
        other.setattr(making, "require", lambda content: None)
        page = making.paper(one)
    found = verified(signed(page, one.validators[0].name, inspector()), anchors=TRUST)
    assert "lot L-1042-1 is held, not released" in found.data.said
    assert not found.good


def test_the_signer_must_be_whom_the_certificate_names() -> None:
    raw = signed(paper(small()), "Somebody else", inspector())
    found = verified(raw, anchors=TRUST, page=False)
    assert found.signature == ("bad", "signature by others than the certificate names: "
                               "Somebody else")  # fmt: skip


def with_two(second: Any = None) -> tuple[bytes, bytes]:
    one = two_signed()
    first = signed(paper(one), one.validators[0].name, inspector())
    key = stranger()[0] if second is None else second
    return first, signed(first, one.validators[1].name, key, "20261219080000")


def test_a_3_2_needs_both_signatures() -> None:
    first, both = with_two()
    anchors = (*TRUST, *stranger()[1])
    found = verified(first, anchors=anchors, page=False)
    assert found.signature.state == "bad"
    assert "that of B. Visitor (invented) is still missing" in found.signature.said
    found = verified(both, anchors=anchors)
    assert found.good
    assert [one.at for one in found.signers] == ["2026-12-18T09:45:00Z", "2026-12-19T08:00:00Z"]
    assert both.startswith(first)
    assert not verified(both, anchors=TRUST, page=False).good


def test_one_key_cannot_sign_for_both() -> None:
    found = verified(with_two(inspector())[1], anchors=TRUST, page=False)
    assert "by one key for both" in found.signature.said


def test_flipped_bits_are_found_behind_two_signatures() -> None:
    raw, drawn = with_two()[1], drawing(11)
    first, second = opened(raw).signatures
    ranges = [range(len(raw)), range(first.begin, first.begin + 2500),
              range(second.begin - 1000, len(raw))]  # fmt: skip
    for where in ranges:
        for _ in range(WIDE // 4):
            at, bit = drawn.choice(where), drawn.randrange(8)
            assert state(changed(raw, at, bit)) in ("bad", "none"), (at, bit)


def test_a_third_signature_has_no_place() -> None:
    with pytest.raises(NotInForm, match="2 signatures already"):
        prepared(with_two()[1], "C", "20261220080000", 100)


@pytest.mark.skipif(not PDFSIG, reason="poppler-utils is not here")
def test_another_reader_says_that_both_signatures_are_valid(tmp_path: Path) -> None:
    """The program pdfsig (poppler, NSS): an implementation that shares nothing with this one."""
    (tmp_path / "two.pdf").write_bytes(with_two()[1])
    said = _said_by_pdfsig(tmp_path / "two.pdf")
    assert said.count("Signature is Valid.") == 2
    assert said.count("ETSI.CAdES.detached") == 2
    assert "Total document signed" in said
    spoiled = changed(with_two()[1], 5000, 3)
    (tmp_path / "spoiled.pdf").write_bytes(spoiled)
    assert "Signature is Valid." not in _said_by_pdfsig(tmp_path / "spoiled.pdf")


def _said_by_pdfsig(path: Path) -> str:
    words = [PDFSIG, path.name]
    ended = subprocess.run(words, cwd=path.parent, capture_output=True, check=False)  # noqa: S603
    return ended.stdout.decode()


def test_a_second_library_takes_signatures_and_what_was_added_between_them() -> None:
    """The reader of pyHanko and its rules for what may change after a signature."""
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    roots = []
    for one in (*TRUST, *stranger()[1]):
        text = one.public_bytes(serialization.Encoding.PEM)
        roots.append(asn1_x509.Certificate.load(pem.unarmor(text)[2]))
    found = PdfFileReader(io.BytesIO(with_two()[1])).embedded_signatures
    for one in found:
        context = ValidationContext(trust_roots=roots, moment=SIGNED)
        said = validate_pdf_signature(one, context)
        assert said.intact
        assert said.valid
        assert said.trusted
        assert said.bottom_line


def test_records_are_compared_at_every_value() -> None:
    held = plain(example())
    found = verified(small_file(), records=plain(small()), page=False)
    assert found.records is not None
    assert found.records.state == "good"
    for where, value in (("requirements.1.results.0.value", 86.5), ("goods.length_m", 299.0),
                         ("release.lot", "L-2"), ("goods.lifting", False)):  # fmt: skip
        found = verified(example_file(), records=edited(held, where, value), page=False)
        assert found.records is not None
        assert found.records.state == "bad"
        (one,) = found.differences
        assert one.records == value
    less = {key: value for key, value in held.items() if key != "requirements"}
    assert verified(example_file(), records=less, page=False).records is not None
    assert verified(example_file(), records=less, page=False).differences[0].place == "requirements"


def looked_at(raw: bytes) -> Verified | None:
    try:
        return verified(raw, anchors=TRUST, page=False)
    except InputErrors:
        return None


def test_malformed_files_end_in_a_sentence() -> None:
    """Cut, doubled, overwritten; also signed anew by somebody, so that the inner parts are read."""
    raw, page, drawn = small_file(), paper(small()), drawing(3)
    for count in range(200):
        base = page if count % 4 == 0 else raw
        a, b = sorted(drawn.randrange(len(base)) for _ in range(2))
        put = drawn.choice([b"", b"\0" * 9, b"/Prev 0", b"obj", base[a:b], drawn.randbytes(20)])
        spoiled = base[:a] + put + base[b if drawn.random() < 0.3 else a + len(put) :]
        if base is page:
            try:
                spoiled = signed(spoiled, small().validators[0].name, inspector())
            except NotInForm:
                continue
        found = looked_at(spoiled)
        # what is signed anew stands or falls with its page, which is not made again here
        assert found is None or not found.good or base is page or spoiled == raw
    for whole in (b"", b"%PDF-1.7\n", b"%PDF-1.7\n(certificate.json)", raw[::-1], b"\0" * 10**6):
        assert looked_at(whole) is None or not looked_at(whole).good  # type: ignore[union-attr]
