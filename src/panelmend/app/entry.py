"""The command ``panelmend``: asks the process that stands by, where one does, else does all by itself.

Nothing but Python's own modules is read in here, because asking must take no time: a process that stands by
(``stand_by``) has everything else in its memory already.
"""

from __future__ import annotations

import os
import sys

ANSWERED = ("check", "plan", "pack")  # verbs that ask the person nothing and read documents alone
FOLDER = "PANELMEND_STAND_BY"  # an environment variable: where its socket stands; empty: never ask
STOPPED = 5  # as in ``exits``, which is not read in here
_OWN = ("/proc", "/dev/fd", "/dev/stdin", "/dev/stdout", "/dev/stderr")  # every process finds others there
LINKS = 40  # one after another, as many as systems follow
LONGEST_SOCKET_NAME = 100  # bytes of a socket's name; systems take 103 to 107


def main() -> None:
    """Run the verb that was typed, and leave with its exit code."""
    if len(sys.argv) > 1 and sys.argv[1] in ANSWERED and os.name == "posix":
        place = socket_place()
        if place is not None and os.path.exists(place) and not any(map(is_own, sys.argv[2:])):
            from panelmend.app.standing_ask import ask

            try:
                code = ask(place, sys.argv[1:])
            except KeyboardInterrupt:  # before anybody worked on it
                print("Stopped. Nothing was written.", file=sys.stderr)
                sys.exit(STOPPED)
            if code is not None:
                sys.stdout.flush()
                sys.exit(code)
    from panelmend.app.cli import main as verbs

    verbs(prog_name="panelmend")


def is_own(word: str) -> bool:
    """Whether a word that was typed names what only this process has open, or what can be read only once.

    Below /dev/fd and /proc/self another process finds its own files; a pipe is read by one reader alone.
    """
    given = {word, word.partition("=")[2]} if word.startswith("-") else {word}
    return any(_leads_off(path) for whole in given for path in {whole, whole.rpartition("#")[0]} if path)


def _leads_off(path: str) -> bool:
    """Whether a path, or a link on its way, leads below /dev/fd or /proc, or to neither file nor folder."""
    at, links = "/", 0
    try:
        rest = os.path.join(os.getcwd(), path).split("/")[::-1]
        while rest:
            name = rest.pop()
            if name in ("", os.curdir):
                continue
            if name == os.pardir:
                at = os.path.dirname(at)
                continue
            at = os.path.join(at, name)
            if at in _OWN:
                return True
            if os.path.islink(at):
                links += 1
                if links > LINKS:
                    return True
                rest += os.readlink(at).split("/")[::-1]
                at = "/" if os.readlink(at).startswith("/") else os.path.dirname(at)
        mode = os.stat(path).st_mode & 0o170000
    except (OSError, ValueError):
        return False  # nothing is there: the verb says so, whoever runs it
    return mode not in (0o100000, 0o040000)


def socket_place() -> str | None:
    """Where the socket of this user's process stands; None where it may not, or its name would be too long.

    It is a folder of one's own: what another may write to is never asked, and whoever may read it could ask.
    """
    told = os.environ.get(FOLDER)
    if told == "":
        return None
    if told is None:
        above = os.environ.get("XDG_RUNTIME_DIR") or ""
        if above and os.path.isdir(above):
            told = os.path.join(above, "panelmend")
        else:
            told = f"/tmp/panelmend-{os.getuid()}"
    place = os.path.join(told, "standing-by")
    return place if len(os.fsencode(place)) <= LONGEST_SOCKET_NAME else None


def is_private_folder(folder: str) -> bool:
    """Whether a folder is the user's own and nobody else can do anything in it; never through a link."""
    try:
        held = os.lstat(folder)
    except OSError:
        return False
    return (held.st_mode & 0o170000) == 0o040000 and held.st_uid == os.getuid() and not held.st_mode & 0o077
