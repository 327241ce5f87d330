"""Signatures: made with pyHanko (PAdES baseline B-B), and checked in one canonical form.

- `signature_over`: CMS bytes over a digest; `room_for`: hexadecimal digits that they may take
- `checked`: takes CMS bytes apart and checks all but the digest; `Signer`: who, over what
- `vouched_by`: the anchor that vouches for a signer
- `signed_plain`, `checked_plain`: a bare signature over bytes, for lists

Canonical means that the CMS bytes are what its parts give when they are put together again:
no other encoding of the same signature is taken. Every certificate in it must be bound, by the
signed attributes or by the chain, so that no bit of it can be changed unseen.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

from asn1crypto import algos, cms, keys, tsp  # type: ignore[import-untyped]
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from cryptography.hazmat.primitives.asymmetric.utils import (
    decode_dss_signature,
    encode_dss_signature,
)

from linkwright.documents.certificates.keys import Key, loaded, may_stand_over, may_vouch

assert tsp.SigningCertificateV2  # noqa: S101 - it teaches cms to read this attribute
_MOST_CERTIFICATES = 4
_SPARE_DIGITS = 64
_LONGEST = 50_000


class NotWhole(ValueError):
    """A signature does not hold; says why."""


class Signer(NamedTuple):
    """Who signed, and what: chain begins with the signer's own certificate."""

    chain: tuple[x509.Certificate, ...]
    digest: bytes


def signature_over(digest: bytes, key: Key) -> bytes:
    """The CMS bytes of a PAdES signature over a SHA-256 digest."""
    return bytes(_signed(digest, key).dump())


def room_for(key: Key) -> int:
    """Hexadecimal digits that a signature by a key may take."""
    needed = 2 * len(signature_over(bytes(32), key)) + _SPARE_DIGITS
    return needed + needed % 2


def _signed(digest: bytes, key: Key) -> Any:
    from pyhanko.sign.signers import SimpleSigner  # noqa: PLC0415 - half a second, only here
    from pyhanko_certvalidator.registry import SimpleCertificateStore  # noqa: PLC0415

    store = SimpleCertificateStore()  # type: ignore[no-untyped-call]
    store.register_multiple(_asn1(one) for one in key.above)
    packed = key.private.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    signer = SimpleSigner(
        signing_cert=_asn1(key.certificate), signing_key=keys.PrivateKeyInfo.load(packed),
        cert_registry=store,
    )  # fmt: skip
    return asyncio.run(signer.async_sign(digest, "sha256", use_pades=True))


def _asn1(one: x509.Certificate) -> Any:
    return asn1_x509.Certificate.load(one.public_bytes(serialization.Encoding.DER))


@lru_cache(maxsize=64)
def checked(contents: bytes) -> Signer:
    """Check the hexadecimal digits of a signature's place: form, certificates, signature.

    What was signed is the digest in the answer; comparing it is for the caller. Raises `NotWhole`.
    """
    try:
        raw = bytes.fromhex(contents.decode("ascii"))
        length = _length(raw)
        if any(raw[length:]):
            raise NotWhole("has something behind the signature in its place")
        return _checked(raw[:length])
    except NotWhole:
        raise
    except Exception:
        # the readers of ASN.1 raise whatever they stumble over
        raise NotWhole("has a signature that cannot be read") from None


def _length(raw: bytes) -> int:
    """Bytes of the outermost DER element."""
    if len(raw) < 4 or raw[0] != 0x30 or len(raw) > _LONGEST:
        raise NotWhole("has a signature that cannot be read")
    if raw[1] < 0x80:
        return 2 + raw[1]
    count = raw[1] & 0x7F
    return 2 + count + int.from_bytes(raw[2 : 2 + count], "big")


def _checked(raw: bytes) -> Signer:
    content = cms.ContentInfo.load(raw, strict=True)["content"]
    (info,) = content["signer_infos"]
    certificates = [bytes(one.chosen.dump()) for one in content["certificates"]]
    if not 1 <= len(certificates) <= _MOST_CERTIFICATES:
        raise NotWhole("carries too many certificates")
    chain = _chain([loaded(one) for one in certificates], info["sid"].chosen)
    if _put_together(chain[0], certificates, info) != raw:
        raise NotWhole("has a signature that is not in canonical form")
    digest = _signed_attributes(info["signed_attrs"], chain[0])
    _verify(chain[0], info["signature"].native, info["signed_attrs"].untag().dump())
    return Signer(chain, digest)


def _put_together(signer: x509.Certificate, certificates: list[bytes], info: Any) -> bytes:
    """The one CMS encoding that these parts may have."""
    is_ec = isinstance(signer.public_key(), ec.EllipticCurvePublicKey)
    by = _asn1(signer)
    made = cms.ContentInfo({
        "content_type": "signed_data",
        "content": cms.SignedData({
            "version": "v1",
            "digest_algorithms": [algos.DigestAlgorithm({"algorithm": "sha256"})],
            "encap_content_info": {"content_type": "data"},
            "certificates": [asn1_x509.Certificate.load(one) for one in certificates],
            "signer_infos": [cms.SignerInfo({
                "version": "v1",
                "sid": cms.SignerIdentifier({"issuer_and_serial_number": cms.IssuerAndSerialNumber(
                    {"issuer": by.issuer, "serial_number": by.serial_number})}),
                "digest_algorithm": algos.DigestAlgorithm({"algorithm": "sha256"}),
                "signed_attrs": cms.CMSAttributes.load(info["signed_attrs"].untag().dump()),
                "signature_algorithm": algos.SignedDigestAlgorithm(
                    {"algorithm": "sha256_ecdsa" if is_ec else "sha256_rsa"}),
                "signature": info["signature"].native,
            })],
        }),
    })  # fmt: skip
    return bytes(made.dump())


def _signed_attributes(attributes: Any, signer: x509.Certificate) -> bytes:
    """The digest that was signed; the attributes are those of PAdES B-B, and name the signer."""
    held = {one["type"].native: one["values"] for one in attributes}
    named = ("content_type", "message_digest", "signing_certificate_v2")
    if len(attributes) != len(named) or set(held) != set(named):
        raise NotWhole("has a signature with other attributes than PAdES B-B needs")
    if any(len(values) != 1 for values in held.values()):
        raise NotWhole("has an attribute with more than one value")
    first = held["signing_certificate_v2"][0]["certs"][0]
    if first["cert_hash"].native != signer.fingerprint(hashes.SHA256()):
        raise NotWhole("has a signature bound to another certificate")
    return bytes(held["message_digest"][0].native)


def _chain(given: list[x509.Certificate], sid: Any) -> tuple[x509.Certificate, ...]:
    """The certificates from the signer upwards, each bound by the one above, none left over."""
    serial, issuer = sid["serial_number"].native, sid["issuer"].dump()
    first = [
        one for one in given
        if one.serial_number == serial and one.issuer.public_bytes() == issuer
    ]  # fmt: skip
    if len(first) != 1:
        raise NotWhole("does not carry the certificate of its signer")
    chain, rest = [first[0]], [one for one in given if one is not first[0]]
    while rest:
        above = next((one for one in rest if issued(chain[-1], one)), None)
        if above is None:
            raise NotWhole("carries a certificate that has no part in the signature")
        chain.append(above)
        rest.remove(above)
    if len(chain) > 1 and not issued(chain[-1], chain[-1], itself=True):
        raise NotWhole("carries a chain of certificates without its head")
    return tuple(chain)


def issued(one: x509.Certificate, by: x509.Certificate, *, itself: bool = False) -> bool:
    """Whether ``by``, an authority, vouches for ``one``; ``itself``: whether it may be the same."""
    if not may_vouch(by) or (one == by) is not itself:
        return False
    try:
        one.verify_directly_issued_by(by)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True


def _verify(signer: x509.Certificate, signature: bytes, over: bytes) -> None:
    public = signer.public_key()
    try:
        if isinstance(public, ec.EllipticCurvePublicKey):
            if encode_dss_signature(*decode_dss_signature(signature)) != signature:
                raise NotWhole("has a signature that is not in canonical form")
            public.verify(signature, over, ec.ECDSA(hashes.SHA256()))
        elif isinstance(public, rsa.RSAPublicKey):
            public.verify(signature, over, padding.PKCS1v15(), hashes.SHA256())
        else:
            raise NotWhole("is signed with a kind of key that is not taken")
    except (InvalidSignature, ValueError) as error:
        if isinstance(error, NotWhole):
            raise
        raise NotWhole("has a signature that does not belong to what was signed") from None


def vouched_by(
    chain: Sequence[x509.Certificate], anchors: Sequence[x509.Certificate], at: datetime
) -> x509.Certificate | None:
    """The anchor that vouches for a signer at a time, or None.

    An anchor is the signer's own certificate, one of its chain, or the authority above the chain.
    All of them must hold at that time, which is the signer's own word.
    """
    if not all(_holds(one, at) for one in chain) or not _may_sign(chain[0]):
        return None
    for anchor in anchors:
        above = [*chain[1:]]
        if anchor not in chain:
            if not (_holds(anchor, at) and issued(chain[-1], anchor)):
                continue
            above.append(anchor)
        if all(may_stand_over(one, below) for below, one in enumerate(above)):
            return anchor
    return None


def _holds(one: x509.Certificate, at: datetime) -> bool:
    return one.not_valid_before_utc <= at <= one.not_valid_after_utc


def _may_sign(one: x509.Certificate) -> bool:
    try:
        usage = one.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    except ValueError:
        return False
    return usage.digital_signature or usage.content_commitment


def signed_plain(content: bytes, key: Key) -> bytes:
    """A bare signature over bytes: ECDSA or RSA (PKCS #1, 1.5) with SHA-256."""
    if isinstance(key.private, ec.EllipticCurvePrivateKey):
        return key.private.sign(content, ec.ECDSA(hashes.SHA256()))
    return key.private.sign(content, padding.PKCS1v15(), hashes.SHA256())


def checked_plain(content: bytes, signature: bytes, signer: x509.Certificate) -> None:
    """Raise `NotWhole` unless the bare signature is the signer's, in canonical form."""
    _verify(signer, signature, content)


def in_order(given: Sequence[x509.Certificate]) -> tuple[x509.Certificate, ...]:
    """Certificates that begin with the signer's, each bound by the next. Raises `NotWhole`."""
    for one, above in pairwise(given):
        if not issued(one, above):
            raise NotWhole("carries a certificate that has no part in the signature")
    if len(given) > 1 and not issued(given[-1], given[-1], itself=True):
        raise NotWhole("carries a chain of certificates without its head")
    return tuple(given)
