"""Numbers that check themselves: items, accounts, containers, and the hash of a text.

Offers `gs1_check_digit`, `iban_check`, `container_check_digit` and `sha256_of_text`.
"""

from __future__ import annotations

import hashlib
import string

from linkwright.catalogue import calculation
from linkwright.quantities import ArgumentError

# Letters count from 10, leaving out the multiples of 11.
_CONTAINER = dict(
    zip(string.ascii_uppercase, (one for one in range(10, 39) if one % 11), strict=True)
)


@calculation(
    source="GS1 General Specifications, 7.9 (check digit)", basis="computed", gives="check"
)
def gs1_check_digit(*, digits: str) -> int:
    """Check digit of an item or shipping-container number: weights 3, 1, 3 ... from the right.

    Args:
        digits: The number without its check digit, as text.

    References:
        GS1 General Specifications, 7.9.

    Example:
        >>> gs1_check_digit(digits="629104150021")
        3
    """
    plain = digits.strip()
    if not (plain.isascii() and plain.isdigit()):
        raise ArgumentError("digits", digits, "", "digits only")
    total = sum(int(one) * (3 if place % 2 == 0 else 1) for place, one in enumerate(plain[::-1]))
    return -total % 10


@calculation(
    source="ISO 13616; ISO 7064 MOD 97-10 (account number)", basis="computed", gives="valid"
)
def iban_check(*, iban: str) -> bool:
    """Whether an account number has the right check digits: remainder 1 of 97.

    Args:
        iban: With or without spaces. The length by country is not checked.

    References:
        ISO 13616; ISO 7064.
    """
    plain = "".join(iban.split()).upper()
    if not (5 <= len(plain) <= 34 and plain.isascii() and plain.isalnum() and plain[:2].isalpha()
            and plain[2:4].isdigit()):  # fmt: skip
        return False
    return int("".join(str(int(one, 36)) for one in plain[4:] + plain[:4])) % 97 == 1


@calculation(
    source="ISO 6346:2022, Annex A (check digit of a freight container)",
    basis="computed",
    gives="check",
)
def container_check_digit(*, number: str) -> int:
    """Check digit of a freight container: sum of value times 2^place, modulo 11, 10 as 0.

    Args:
        number: Four letters and six digits.

    References:
        ISO 6346:2022, Annex A.

    Example:
        >>> container_check_digit(number="CSQU305438")
        3
    """
    plain = "".join(number.split()).upper()
    if not (len(plain) == 10 and plain.isascii() and plain[:4].isalpha() and plain[4:].isdigit()):
        raise ArgumentError("number", number, "", "four letters and six digits")
    values = [_CONTAINER[one] if one.isalpha() else int(one) for one in plain]
    return sum(value << place for place, value in enumerate(values)) % 11 % 10


@calculation(source="FIPS 180-4 (SHA-256)", basis="computed", gives="hex")
def sha256_of_text(*, text: str) -> str:
    """SHA-256 of a text in UTF-8, as hexadecimal digits.

    Args:
        text: Any text.

    References:
        FIPS 180-4.
    """
    return hashlib.sha256(text.encode()).hexdigest()
