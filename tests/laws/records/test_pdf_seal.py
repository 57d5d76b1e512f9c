"""PDFs of card and release signed with a certificate: what was changed, added or another's is refused."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID
from pypdf import PdfReader

from panelmend.app.pdf_seal import look_at_pdf, seal_pdf
from panelmend.app.records import head_of
from panelmend.app.records_shop import release_pdf
from panelmend.errors import InputError
from records_made import JOB, KEYS, Shop, refused, shop
from render_pages import page_words


def _certificate(folder: Path, name: str) -> tuple[Path, Path]:
    """A PKCS#12 file and its certificate, of an invented shop."""
    key = ec.generate_private_key(ec.SECP256R1())
    named = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    now = datetime.now(UTC)
    made = x509.CertificateBuilder().subject_name(named).issuer_name(named).public_key(key.public_key())
    made = made.serial_number(7).not_valid_before(now - timedelta(days=1))
    made = made.not_valid_after(now + timedelta(days=300))
    made = made.add_extension(x509.BasicConstraints(ca=True, path_length=0), True)
    usage = x509.KeyUsage(True, True, False, False, False, True, False, False, False)
    whole = made.add_extension(usage, True).sign(key, hashes.SHA256())
    own, shown = folder / f"{name}.p12", folder / f"{name}.pem"
    kept = serialization.BestAvailableEncryption(b"a passphrase")
    own.write_bytes(pkcs12.serialize_key_and_certificates(b"shop", key, whole, None, kept))
    shown.write_bytes(whole.public_bytes(serialization.Encoding.PEM))
    return own, shown


@pytest.fixture(scope="module")
def released() -> Shop:
    """A shop with a released job."""
    made = shop()
    made.begin_job()
    made.do(*KEYS)
    made.release()
    return made


def test_a_release_is_printed_with_its_fields_signed_and_looked_at_without_a_network(
    released: Shop, tmp_path: Path
) -> None:
    head = head_of(released.book)
    pages = release_pdf(released.state, JOB, head)
    said = " ".join(" ".join(page_words(pages)).split())
    for words in ("repairman", "X-0001", "R. Osk", "M. Verrin", head, "M3-SRM 11, repair 7"):
        assert words in said, words
    own, shown = _certificate(tmp_path, "shop")
    signed = seal_pdf(pages, own, "a passphrase", f"release entry of {JOB}, records {head}")
    lines = look_at_pdf(signed, shown)
    assert "Common Name: shop" in lines[0]
    assert head in lines[1]
    assert len(PdfReader(_file(tmp_path, signed)).pages) == len(PdfReader(_file(tmp_path, pages)).pages)
    with pytest.raises(InputError):
        look_at_pdf(pages, shown)
    with pytest.raises(InputError):
        seal_pdf(pages, own, "another", "x")
    _, other = _certificate(tmp_path, "other")
    with pytest.raises(InputError):
        look_at_pdf(signed, other)
    for more in (b"x", b"\n%%EOF\n", signed[-40:]):
        with pytest.raises(InputError):
            look_at_pdf(signed + more, shown)
    covered = [int(n) for n in re.findall(rb"/ByteRange \[([0-9 ]+)\]", signed)[0].split()]
    for place in (20, covered[1] // 2, covered[1] - 1, covered[2] + 5, len(signed) - 9):
        changed = signed[:place] + bytes([signed[place] ^ 1]) + signed[place + 1 :]
        with pytest.raises(InputError):
            look_at_pdf(changed, shown)


def _file(folder: Path, data: bytes) -> Path:
    target = folder / f"{len(data)}.pdf"
    target.write_bytes(data)
    return target


def test_what_is_not_released_has_no_release_page() -> None:
    made = shop()
    made.begin_job()
    refused("R122", lambda: release_pdf(made.state, JOB, head_of(made.book)))
