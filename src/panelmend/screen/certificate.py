"""The certificate by which other machines know the screen: one that is given, or a self-made one."""

from __future__ import annotations

import ipaddress
import os
import ssl
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from panelmend.errors import InputError, OutputError

OWN_CERTIFICATE, OWN_KEY = "lan-certificate.pem", "lan-key.pem"
LIFE = timedelta(days=397)  # common practice, no source: browsers take no longer one of an authority
RENEWED = timedelta(days=30)  # before its end


def looked_at(certificate: Path, key: Path, names: Sequence[str], now: datetime | None = None) -> str:
    """See that a certificate can be used for these addresses and names; its SHA-256 fingerprint.

    Raises:
        InputError: it cannot be read, is not in force, names something else, or the key is not its key.
    """
    found = _read(certificate)
    at = now or datetime.now(UTC)
    if not found.not_valid_before_utc <= at <= found.not_valid_after_utc:
        raise InputError(
            "the certificate is not in force",
            where=certificate.name,
            read=f"{found.not_valid_before_utc:%Y-%m-%d} to {found.not_valid_after_utc:%Y-%m-%d}",
            expected=f"{at:%Y-%m-%d} within",
            todo="have it renewed; look at the clock of this machine",
        )
    lacking = [n for n in names if not _covers(found, n)]
    if lacking:
        raise InputError(
            "the certificate is not for this address",
            where=certificate.name,
            read=", ".join(_names_of(found)) or "no name",
            expected=", ".join(lacking),
            todo="have one made for it; browsers would warn, and people would learn to pass over warnings",
        )
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
    except (OSError, ssl.SSLError, ValueError):
        raise InputError(
            "key and certificate do not belong together, or the key cannot be read",
            where=key.name,
            expected="the certificate's own private key, PEM, without a password",
        ) from None
    return fingerprint(found)


def own(folder: Path, names: Sequence[str], now: datetime | None = None) -> tuple[Path, Path]:
    """The self-made certificate of a workshop and its key, made anew where it does not serve any more.

    Raises:
        OutputError: it could not be written.
    """
    certificate, key = folder / OWN_CERTIFICATE, folder / OWN_KEY
    at = now or datetime.now(UTC)
    try:
        looked_at(certificate, key, names, at + RENEWED)
        looked_at(certificate, key, names, at)
    except InputError:
        _make(certificate, key, names, at)
    return certificate, key


def fingerprint(found: x509.Certificate) -> str:
    """SHA-256 in pairs, as browsers show it."""
    return ":".join(f"{byte:02X}" for byte in found.fingerprint(hashes.SHA256()))


def _make(certificate: Path, key: Path, names: Sequence[str], at: datetime) -> None:
    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "panelmend workshop screen")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(hours=1))
        .not_valid_after(at + LIFE)
        .add_extension(x509.SubjectAlternativeName([_general(n) for n in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(private, hashes.SHA256())
    )
    pem = private.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    try:
        _write(key, pem)
        _write(certificate, made.public_bytes(serialization.Encoding.PEM))
    except OSError as error:
        raise OutputError(f"the certificate could not be kept in {key.parent}: {error.strerror}") from None


def _write(path: Path, data: bytes) -> None:
    """Written whole, where only this user reads it."""
    part = path.with_suffix(".part")
    part.unlink(missing_ok=True)
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    os.replace(part, path)


def _read(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        raise InputError(
            "no certificate can be read there", where=path.name, expected="a file in PEM form"
        ) from None


def _alternatives(found: x509.Certificate) -> x509.SubjectAlternativeName | None:
    try:
        return found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return None


def _names_of(found: x509.Certificate) -> list[str]:
    held = _alternatives(found)
    if held is None:
        return []
    return [
        *held.get_values_for_type(x509.DNSName),
        *(str(a) for a in held.get_values_for_type(x509.IPAddress)),
    ]


def _covers(found: x509.Certificate, name: str) -> bool:
    """Whether a certificate names an address or a name; a star stands for one label (RFC 9525)."""
    held = {n.lower() for n in _names_of(found)}
    if _address(name) is not None:
        return str(_address(name)) in held
    plain = name.lower()
    return plain in held or f"*.{plain.partition('.')[2]}" in held


def _general(name: str) -> x509.GeneralName:
    address = _address(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return None
