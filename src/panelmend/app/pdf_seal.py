"""PDFs signed with a certificate, and looked at without a network. Needs panelmend[pdf].

The certificate is the signer's or the shop's own (a PKCS#12 file). It says that these pages were not changed
since somebody who had that file and its passphrase signed them. What was done, and by whom, the records say.
"""

from __future__ import annotations

import logging
from io import BytesIO
from pathlib import Path
from typing import Any

from panelmend.errors import InputError

FIELD = "Records"


def _pyhanko() -> None:
    logging.getLogger("pyhanko").setLevel(logging.CRITICAL)  # what it finds is told in our own words
    try:
        import pyhanko  # noqa: F401
    except ImportError:
        raise InputError(
            "PDFs are signed by a library that is not here", todo="install panelmend[pdf]"
        ) from None


def seal_pdf(pages: bytes, key: Path, passphrase: str, reason: str) -> bytes:
    """Sign a PDF.

    Args:
        pages: the PDF.
        key: PKCS#12 file with the certificate and its key.
        passphrase: of that file.
        reason: what the signature is of; it stands in it.

    Raises:
        InputError: the file cannot be opened with that passphrase.
    """
    _pyhanko()
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import signers
    from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter

    simple: Any = signers.SimpleSigner
    signer = simple.load_pkcs12(str(key), passphrase=passphrase.encode("utf8"))
    if signer is None:
        raise InputError(
            "the certificate cannot be opened", where=key.name, expected="a PKCS#12 file and its passphrase"
        )
    about = signers.PdfSignatureMetadata(
        field_name=FIELD,
        reason=reason,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
        subfilter=SigSeedSubFilter.PADES,
        md_algorithm="sha256",
    )
    out = signers.sign_pdf(IncrementalPdfFileWriter(BytesIO(pages)), about, signer=signer)
    return bytes(out.getvalue())


def look_at_pdf(pages: bytes, trusted: Path) -> list[str]:
    """Look at the signature of a PDF by a certificate that is trusted, without a network.

    Args:
        pages: the PDF.
        trusted: the certificate (PEM or DER) it must go back to, which came by another way than the PDF.

    Returns:
        Who signed, when by their own clock, and for what.

    Raises:
        InputError: no signature, one of another certificate, or anything changed or added since.
    """
    _pyhanko()
    from pyhanko.keys import load_cert_from_pemder
    from pyhanko.pdf_utils.misc import PdfReadError
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.diff_analysis import ModificationLevel
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    try:
        read: Any = load_cert_from_pemder
        root = read(str(trusted))
    except (OSError, ValueError) as error:
        raise InputError("the certificate cannot be read", where=trusted.name) from error
    try:
        found = PdfFileReader(BytesIO(pages)).embedded_signatures
        if len(found) != 1 or found[0].field_name != FIELD:
            raise InputError("not one signature of the records in it", read=str(len(found)), expected="1")
        status = validate_pdf_signature(
            found[0], signer_validation_context=ValidationContext(trust_roots=[root], allow_fetching=False)
        )
    except InputError:
        raise
    except (PdfReadError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError("no PDF whose signature can be read", read=str(error)[:80]) from error
    covered = list(found[0].byte_range)
    if covered[0] != 0 or covered[2] + covered[3] != len(pages):
        raise InputError("bytes that the signature does not cover", read=f"{len(pages)} bytes in all")
    if not status.bottom_line or status.modification_level not in (None, ModificationLevel.NONE):
        raise InputError(
            "its signature does not hold", read=status.summary()[:80], expected="unchanged since signed"
        )
    name = status.signing_cert.subject.human_friendly
    when = status.signer_reported_dt
    return [
        f"Signed by {name}, {when.isoformat(timespec='minutes') if when else 'no time'} by their clock.",
        f"For: {found[0].sig_object.get('/Reason', '')}",
        "Nothing was changed or added since. It says nothing of whether the work was done.",
    ]
