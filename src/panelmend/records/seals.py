"""A person's own key: made from their secret each time, never kept. What it seals nobody else can seal, not
even whoever holds the disk, unless they guess the secret. Ed25519 (RFC 8032)."""

from __future__ import annotations

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from panelmend.records.canonical import sha256


def public_of(seed: bytes) -> str:
    """The public half of a key, as hex, from its 32 bytes."""
    return Ed25519PrivateKey.from_private_bytes(seed).public_key().public_bytes_raw().hex()


def seal(seed: bytes, text: str) -> str:
    """Seal a text; 64 bytes as hex."""
    return Ed25519PrivateKey.from_private_bytes(seed).sign(text.encode("utf8")).hex()


def sealed(public: str, text: str, made: str) -> bool:
    """Whether a seal is of a text and was made with the key whose public half this is."""
    if not public or not made:
        return False
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(
            bytes.fromhex(made), text.encode("utf8")
        )
    except (InvalidSignature, ValueError):
        return False
    return True


def text_of(records: str, number: int, before: str, bare: str) -> str:
    """What a seal covers: which records, the place in the log, and the entry's text without the seal."""
    return f"panelmend seal 1\n{records}\n{number}\n{before}\n{sha256(bare)}\n"
