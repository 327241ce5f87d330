"""Keys of a works: made here, kept outside, never without a pass phrase.

- `make_key`: a key with its certificate, of its own, of a small authority, or as an authority
- `Key`, `key_of`: a key taken out of its file; `certificates_of`: of a PEM file
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID

from linkwright.quantities import CannotPlan

KINDS = ("ecdsa", "rsa")
LEAST_PASS_PHRASE = 8
_RSA_BITS = 3072
Private = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey


class NoKey(CannotPlan):
    """The key cannot be used."""

    code = "key"


@dataclass(frozen=True)
class Key:
    """A private key, its certificate, and those of the authorities above it."""

    private: Private
    certificate: x509.Certificate
    above: tuple[x509.Certificate, ...] = ()


def make_key(
    name: str, pass_phrase: str, at: datetime, *, organisation: str = "", kind: str = "ecdsa",
    years: int = 5, issuer: Key | None = None, authority: bool = False,
) -> tuple[bytes, bytes]:  # fmt: skip
    """A new key: the bytes of its PKCS#12 file, and its certificate as PEM text.

    issuer: the authority that vouches for it; without one it stands for itself. authority: whether
    it may vouch for others, and then it signs nothing else. Raises `NoKey`.
    """
    if len(pass_phrase) < LEAST_PASS_PHRASE:
        raise NoKey(f"the pass phrase has fewer than {LEAST_PASS_PHRASE} characters")
    private: Private = (
        ec.generate_private_key(ec.SECP256R1())
        if kind == "ecdsa"
        else rsa.generate_private_key(65537, _RSA_BITS)
    )
    parts = [x509.NameAttribute(NameOID.COMMON_NAME, name)]
    if organisation:
        parts.insert(0, x509.NameAttribute(NameOID.ORGANIZATION_NAME, organisation))
    if issuer is not None and authority:
        raise NoKey("an authority of a works stands for itself, not under another")
    subject = x509.Name(parts)
    signing = private if issuer is None else issuer.private
    above = () if issuer is None else (issuer.certificate, *issuer.above)
    if issuer is not None and not may_vouch(issuer.certificate):
        raise NoKey("the issuer is no authority: its key may not vouch for others")
    issued_by = subject if issuer is None else issuer.certificate.subject
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issued_by)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(minutes=5))
        .not_valid_after(at + timedelta(days=365 * years + years // 4))
        .add_extension(x509.BasicConstraints(authority, 0 if authority else None), critical=True)
        .add_extension(_usage(authority), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(private.public_key()), False)
        .sign(signing, hashes.SHA256())
    )
    packed = pkcs12.serialize_key_and_certificates(
        name.encode(), private, made, above or None,
        serialization.BestAvailableEncryption(pass_phrase.encode()),
    )  # fmt: skip
    return packed, made.public_bytes(serialization.Encoding.PEM)


def _usage(authority: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not authority, content_commitment=not authority, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=authority, crl_sign=authority,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip


def key_of(raw: bytes, pass_phrase: str, name: str) -> Key:
    """The key of a PKCS#12 file, or of PEM text with an encrypted key and its certificates.

    ``name`` stands in errors. Raises `NoKey`.
    """
    try:
        if raw.lstrip().startswith(b"-----BEGIN"):
            private = serialization.load_pem_private_key(raw, pass_phrase.encode())
            first, *rest = x509.load_pem_x509_certificates(raw)
        else:
            held = pkcs12.load_pkcs12(raw, pass_phrase.encode())
            if held.key is None or held.cert is None:
                raise NoKey(f"{name}: holds no key with its certificate")
            private, first = held.key, held.cert.certificate
            rest = [one.certificate for one in held.additional_certs]
    except NoKey:
        raise
    except (ValueError, TypeError):
        said = "is no file of a key that can be read, or its pass phrase is another"
        raise NoKey(f"{name}: {said}") from None
    if not isinstance(private, (ec.EllipticCurvePrivateKey, rsa.RSAPrivateKey)):
        raise NoKey(f"{name}: holds a key of another kind; accepted: ECDSA or RSA")
    if private.public_key() != first.public_key():
        raise NoKey(f"{name}: the certificate is not that of the key")
    return Key(private, first, tuple(rest))


def certificates_of(raw: bytes, name: str) -> tuple[x509.Certificate, ...]:
    """The certificates of a PEM file. Raises `NoKey`."""
    try:
        return tuple(x509.load_pem_x509_certificates(raw))
    except ValueError:
        raise NoKey(f"{name}: holds no certificate (PEM)") from None


@lru_cache(maxsize=64)
def loaded(der: bytes) -> x509.Certificate:
    """A certificate of its DER bytes; ValueError if they are none, or another writing of one.

    What the library only warns of, such as a serial number of zero, is refused.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            one = x509.load_der_x509_certificate(der)
        except Warning as error:
            raise ValueError(str(error)) from None
    if not _in_form(one, der):
        raise ValueError("not in canonical form")
    return one


def _in_form(one: x509.Certificate, der: bytes) -> bool:
    """Whether nothing in the bytes is free: what is outside the signed part is put together again.

    The count of unused bits before the signature is such a place: readers do not look at it.
    """
    signed, bits = one.tbs_certificate_bytes, _element(0x03, b"\0" + one.signature)
    place = der.find(signed)
    algorithm = der[place + len(signed) : len(der) - len(bits)]
    named = place >= 0 and bool(algorithm) and algorithm in signed
    return named and der == _element(0x30, signed + algorithm + bits)


def _element(tag: int, body: bytes) -> bytes:
    """A DER element with the shortest writing of its length."""
    size = len(body)
    if size < 0x80:
        return bytes([tag, size]) + body
    count = (size.bit_length() + 7) // 8
    return bytes([tag, 0x80 | count]) + size.to_bytes(count, "big") + body


def may_vouch(one: x509.Certificate) -> bool:
    """Whether the certificate is that of an authority."""
    try:
        limits = one.extensions.get_extension_for_class(x509.BasicConstraints).value
        usage = one.extensions.get_extension_for_class(x509.KeyUsage).value
    except (x509.ExtensionNotFound, ValueError):
        return False
    return limits.ca and usage.key_cert_sign


def may_stand_over(one: x509.Certificate, authorities: int) -> bool:
    """Whether an authority may have so many other authorities below it (RFC 5280, 4.2.1.9)."""
    limits = one.extensions.get_extension_for_class(x509.BasicConstraints).value
    return limits.path_length is None or authorities <= limits.path_length


def common_name(one: x509.Certificate) -> str:
    """Whom a certificate names."""
    found = one.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(found[0].value) if found else "somebody without a name"
