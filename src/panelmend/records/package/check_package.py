#!/usr/bin/env python3
"""Check a record package of a bonded repair. Needs Python 3.9, check_signed.py beside it, and nothing else.

    python3 check_package.py PACKAGE.zip [HEAD]

HEAD is what stands on paper ("number-16 characters"); give it whenever you have one. Take this program from
somewhere else than the package you check: a package that was forged may hold a forged checker.

Ends with 0 when nothing was found, with 1 and one line for each fault when something was. What it cannot see:
whether what people wrote is true, and whether everything was written anew by somebody who had the shop's disk
(then only a head on paper differs, and seals cannot be made without each person's secret). What each
signature at the job covered is made again from the entries shown, so that one of the job that was left out,
or put under another signature, is found; what came after the last signature of a job is not. Dates, out-time
and balances of lots, calibration, and the rights of people are not judged, nor are entries of theirs missed
that were left out; the shop's own records do that, when they are checked.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import pathlib
import re
import struct
import sys
import zipfile
import zlib
from typing import Any

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}(/[A-Za-z0-9][A-Za-z0-9._-]{0,99}){0,2}")
LARGEST, MOST = 2**31, 20000
NOT_LOOKED_AT = (
    "whether what was typed is true; dates, out-time and balances of lots; calibration; rights of people;"
    " entries about these that were left out; what came after the last signature of the job."
)
FIELDS = ("description", "completed", "performed_by", "certificate_number", "certificate_kind")
COUPONS = ("coupon made", "coupon tested")
PAPERS: dict[str, Any] = {
    "job opened": lambda w: [w["document"], *w["pages"].values()],
    "job revised": lambda w: [w["document"], *w["pages"].values()],
    "file kept": lambda w: [w["digest"]],
    "paper transcribed": lambda w: [w["scan"]],
    "verdict kept": lambda w: [w["log"], w["report"]],
    "re-test reported": lambda w: [w["paper"]],
    "coupon tested": lambda w: [w["paper"]],
    "deviation decided": lambda w: [w["paper"]] if w.get("paper") else [],
}


class Bad(Exception):
    """A fault after which nothing more can be read."""


def sha(data: bytes) -> str:
    """SHA-256 as hex."""
    return hashlib.sha256(data).hexdigest()


def contents(path: str) -> dict[str, bytes]:
    """Every file, and the proof that the archive holds nothing else."""
    with open(path, "rb") as file:
        whole = file.read(LARGEST + 1)
    if len(whole) > LARGEST:
        raise Bad("larger than any package")
    count, size = struct.unpack("<HI", whole[-12:-6]) if len(whole) >= 22 else (0, 0)
    if whole[-22:-18] != b"PK\5\6" or count > MOST or size > MOST * 348 or size > len(whole):
        raise Bad("no end as an archive has it, or an index of more files than it can hold")
    files: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            if len(infos) > MOST or sum(i.file_size for i in infos) > len(whole):
                raise Bad("more files or bytes than it can hold: a bomb")
            for info in infos:
                name = info.filename
                if info.compress_type != zipfile.ZIP_STORED or info.file_size != info.compress_size:
                    raise Bad("compressed, which no package is: " + name[:60])
                if not NAME.fullmatch(name) or name in files:
                    raise Bad("a name that no package has: " + name[:60])
                files[name] = archive.read(info)
    except Bad:
        raise
    except Exception as error:
        raise Bad("not a readable archive: " + str(error)[:80]) from None
    if rebuilt(files) != whole:
        raise Bad("bytes that belong to no file of it")
    return files


def rebuilt(files: dict[str, bytes]) -> bytes:
    """The archive as it must be, byte for byte."""
    bodies: list[bytes] = []
    places: list[bytes] = []
    at = 0
    for name in sorted(files):
        data, raw = files[name], name.encode()
        head = struct.pack("<5H3I2H", 20, 0, 0, 0, 33, zlib.crc32(data), len(data), len(data), len(raw), 0)
        bodies += [b"PK\3\4", head, raw, data]
        places += [b"PK\1\2\x14\0", head, struct.pack("<3H2I", 0, 0, 0, 0, at), raw]
        at += 4 + len(head) + len(raw) + len(data)
    body, index = b"".join(bodies), b"".join(places)
    return (
        body
        + index
        + b"PK\5\6"
        + struct.pack("<4H2IH", 0, 0, len(files), len(files), len(index), len(body), 0)
    )


def chained(files: dict[str, bytes], manifest: dict[str, Any], head: str) -> tuple[list[str], list[str]]:
    """The hash of every entry from the digests of all of them; the head must come out."""
    faults: list[str] = []
    hashes: list[str] = []
    before = "0" * 64
    bodies = files["chain.txt"].decode("ascii").split("\n")[:-1]
    for number, body in enumerate(bodies, 1):
        before = sha(f"panelmend entry 1\n{number}\n{before}\n{body}\n".encode())
        hashes.append(before)
    if len(hashes) != manifest["number"] or before != manifest["head"]:
        faults.append("the chain does not end at the head that the package names")
    if head:
        place, _, start = head.partition("-")
        if not place.isdigit() or len(start) < 16:
            faults.append("not a head: " + head[:40])
        elif int(place) > len(hashes):
            faults.append(f"the paper says entry {place}, the package ends at {len(hashes)}: older, or cut")
        elif int(place) < 1 or not hashes[int(place) - 1].startswith(start.lower()):
            faults.append(f"entry {place} is another than the one on the paper")
    return faults, bodies


def entries_of(files: dict[str, bytes], bodies: list[str]) -> tuple[list[str], dict[int, Any]]:
    """The entries that are shown, each in its one spelling and in its place in the chain."""
    faults: list[str] = []
    shown: dict[int, Any] = {}
    for name in sorted(n for n in files if n.startswith("entries/")):
        number = int(name[8:-5])
        if name != f"entries/{number:07d}.json":
            faults.append("an entry under another name than entries have: " + name[:60])
        text = files[name].decode("utf8")
        data = json.loads(text)
        if json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":")) != text:
            faults.append(f"entry {number} is spelled in another way than entries are")
        if not 1 <= number <= len(bodies) or sha(files[name]) != bodies[number - 1]:
            faults.append(f"entry {number} is not the one in the chain")
        shown[number] = data
    return faults, shown


P = 2**255 - 19
ORDER = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P


def plus(a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, ...]:
    """The sum of two points of the curve of RFC 8032, each as X, Y, Z, T."""
    s, t = (a[1] - a[0]) * (b[1] - b[0]) % P, (a[1] + a[0]) * (b[1] + b[0]) % P
    c, d = 2 * a[3] * b[3] * D % P, 2 * a[2] * b[2] % P
    e, f, g, h = t - s, d - c, d + c, t + s
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(n: int, a: tuple[int, ...]) -> tuple[int, ...]:
    """A point n times."""
    found: tuple[int, ...] = (0, 1, 1, 0)
    while n:
        if n & 1:
            found = plus(found, a)
        a, n = plus(a, a), n >> 1
    return found


def point(raw: bytes) -> tuple[int, ...]:
    """The point that 32 bytes stand for. Raises Bad."""
    y = int.from_bytes(raw, "little")
    sign, y = y >> 255, y & (2**255 - 1)
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if (x * x - square) % P:
        x = x * pow(2, (P - 1) // 4, P) % P
    if y >= P or (x * x - square) % P or (x == 0 and sign):
        raise Bad("a key or seal that is no point")
    x = P - x if x & 1 != sign else x
    return x, y, 1, x * y % P


def sealed(key: str, text: str, seal: str) -> bool:
    """Whether an Ed25519 seal is of a text and of a key (RFC 8032, 5.1.7)."""
    try:
        whole, public = bytes.fromhex(seal), bytes.fromhex(key)
        if len(whole) != 64 or len(public) != 32:
            return False
        first, rest = whole[:32], int.from_bytes(whole[32:], "little")
        mixed = hashlib.sha512(first + public + text.encode("utf8")).digest()
        base = point((4 * pow(5, -1, P) % P).to_bytes(32, "little"))
        left = times(rest, base)
        right = plus(point(first), times(int.from_bytes(mixed, "little") % ORDER, point(public)))
        same = (left[0] * right[2] - right[0] * left[2]) % P == 0
        return rest < ORDER and same and (left[1] * right[2] - right[1] * left[2]) % P == 0
    except (Bad, ValueError):
        return False


def seals(shown: dict[int, Any], bodies: list[str], manifest: dict[str, Any]) -> list[str]:
    """Every signature with the key its person had then: what nobody can make without the secret."""
    faults: list[str] = []
    keys: dict[str, str] = {}
    before, chain = "0" * 64, ["0" * 64]
    for number, body in enumerate(bodies, 1):
        before = sha(f"panelmend entry 1\n{number}\n{before}\n{body}\n".encode())
        chain.append(before)
    for number in sorted(shown):
        entry = shown[number]
        what = entry["what"]
        if what["kind"] in ("records begun", "person enrolled"):
            keys[what["person"]] = what.get("key", "")
        elif what["kind"] == "code issued":
            keys[what["person"]] = ""
        if "signature" not in what:
            continue
        if not what["signature"].get("seal"):
            faults.append(f"entry {number}: its signature bears no seal, so that nothing shows who signed")
            continue
        signature = {k: v for k, v in what["signature"].items() if k != "seal"}
        bare = json.dumps(
            {**entry, "what": {**what, "signature": signature}},
            ensure_ascii=False,
            sort_keys=True,
            separators=(",", ":"),
        )
        place = f"{manifest['records']}\n{number}\n{chain[number - 1]}\n{sha(bare.encode())}"
        text = f"panelmend seal 1\n{place}\n"
        if not sealed(keys.get(entry["by"], ""), text, what["signature"].get("seal", "")):
            faults.append(f"entry {number}: not sealed with the key of {entry['by']}")
    return faults


def covers_beside(shown: dict[int, Any], records: str, job: str) -> list[str]:
    """What each signature covered, made again by the second part of this program, which lies beside it."""
    beside = pathlib.Path(__file__).resolve().with_name("check_signed.py")
    spec = importlib.util.spec_from_file_location("check_signed", beside)
    if spec is None or spec.loader is None or not beside.is_file():
        return [
            "check_signed.py does not lie beside check_package.py: what signatures cover was not looked at"
        ]
    part = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(part)
    return list(part.covers(shown, records, job))


def sense(shown: dict[int, Any], papers: set[str], manifest: dict[str, Any]) -> list[str]:
    """What any two entries must not say of each other: one's own work, a plan not ready, a field missing."""
    faults: list[str] = []
    workers: set[str] = set()
    deciders: set[str] = set()
    names: dict[str, str] = {}
    opened, latest = False, ""
    for number in sorted(shown):
        entry, what = shown[number], shown[number]["what"]
        kind, by = what["kind"], entry["by"]
        missing = [d for d in PAPERS.get(kind, lambda w: [])(what) if d not in papers]
        if entry["entered"] < latest and not entry["behind"]:
            faults.append(f"entry {number}: its clock stood behind those before it, and it does not say so")
        latest = max(latest, entry["entered"])
        if kind in ("records begun", "person added"):
            names[what["person"]] = what["name"]
        if what.get("job") != manifest["job"]:
            continue
        faults += [f"entry {number}: paper {d[:12]} is not in the package" for d in missing]
        s = what.get("signature")
        if s and s["name"] != names.get(by):
            faults.append(f"entry {number}: signed as {s['name']}, {by} is {names.get(by)}")
        if kind == "job opened":
            opened = what["standing"] == "READY" and not opened
            if not opened:
                faults.append(f"entry {number}: work begun from a plan that was not ready, or begun twice")
        elif kind == "job revised" and what["standing"] != "READY":
            faults.append(f"entry {number}: revised to a plan that was not ready")
        elif not opened:
            faults.append(f"entry {number}: before the job was opened")
        if kind in ("readings", "file kept", "verdict kept", "batch mixed", "label seen", *COUPONS):
            workers.add(by)
        elif kind == "paper transcribed":
            workers |= {by, what["did"]}
            if what["accepted"] in workers:
                faults.append(f"entry {number}: {what['accepted']} accepts their own work on paper")
        elif kind == "transcript checked" and (by in workers or by in deciders):
            faults.append(f"entry {number}: {by} checks their own typed paper or work")
        elif kind == "step signed":
            if s["meaning"] == "did":
                workers.add(by)
            elif by in workers or by in deciders:
                faults.append(f"entry {number}: {by} looks at their own work")
        elif kind == "deviation decided":
            deciders.add(by)
            if by in workers:
                faults.append(f"entry {number}: {by} decides on their own work")
        elif kind == "released":
            if by in workers or by in deciders:
                faults.append(f"entry {number}: {by} releases their own work")
            faults += [f"entry {number}: the release lacks {f}" for f in FIELDS if not what[f]]
    if not opened:
        faults.append("the package does not show its job being opened")
    return faults


def check(path: str, head: str = "") -> list[str]:
    """Every fault of a package."""
    try:
        files = contents(path)
        for name in ("manifest.json", "seal.txt", "chain.txt"):
            if name not in files:
                return [name + " is missing"]
        if files["seal.txt"] != (sha(files["manifest.json"]) + "\n").encode():
            return ["the manifest is not the one that was sealed"]
        manifest = json.loads(files["manifest.json"])
        if manifest["kind"] != "panelmend record package":
            return ["another kind of file than a record package"]
        rows = {r["file"]: r["sha256"] for r in manifest["files"]}
        held = {n: sha(d) for n, d in files.items() if n not in ("manifest.json", "seal.txt")}
        if rows != held:
            wrong = sorted(n for n in set(rows) | set(held) if rows.get(n) != held.get(n))
            return [f"{n} is not what the manifest says" for n in wrong]
        faults, bodies = chained(files, manifest, head)
        more, shown = entries_of(files, bodies)
        papers = {d for n, d in held.items() if n.startswith("papers/")}
        more += covers_beside(shown, manifest["records"], manifest["job"])
        return faults + more + sense(shown, papers, manifest) + seals(shown, bodies, manifest)
    except Bad as error:
        return [str(error)]
    except Exception as error:
        return [f"cannot be read as a package: {type(error).__name__}: {str(error)[:80]}"]


if __name__ == "__main__":
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    found = check(*sys.argv[1:])
    for line in found:
        print("FAULT: " + line)
    if not found:
        print("Nothing was found." + ("" if len(sys.argv) == 3 else " No head from paper was given."))
        print("Not looked at: " + NOT_LOOKED_AT)
    sys.exit(1 if found else 0)
