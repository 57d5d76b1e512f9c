"""The workshop on this machine: a folder of the user's own with repairs in it."""

from __future__ import annotations

import os
import re
import sys
import threading
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from panelmend.app.opened import OpenRepair
from panelmend.app.tapbook import TapBook
from panelmend.errors import MissingError, OutputError, PanelmendError
from panelmend.files import replace_whole

SETTING = "PANELMEND_WORKSHOP"
DOCUMENT, TAPS = "repair.toml", "taps.jsonl"
DEMO = "TAS-26-0417"
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
MOST_OPEN = 12  # repairs kept planned at a time


def own_folder() -> Path:
    """The user's own workshop folder: by the setting PANELMEND_WORKSHOP, else where the system keeps data."""
    given = os.environ.get(SETTING, "").strip()
    if given:
        return Path(given).expanduser()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "panelmend" / "workshop"


@dataclass(frozen=True)
class Listed:
    """A repair in the workshop; ``faults`` says why it cannot be opened, "" where it can."""

    name: str
    repair: OpenRepair | None
    faults: str = ""


class Workshop:
    """The repairs of a folder, opened when they are asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._open: dict[str, OpenRepair] = {}
        self._taps: dict[str, TapBook] = {}
        self._lock = threading.Lock()
        try:
            self.repairs_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise OutputError(f"{folder} could not be made: {error.strerror}") from None

    @property
    def repairs_folder(self) -> Path:
        """Where the repairs stand, each in a folder of its own."""
        return self.folder / "repairs"

    def names(self) -> tuple[str, ...]:
        """The repairs that are there, in order."""
        found = (p.parent.name for p in self.repairs_folder.glob(f"*/{DOCUMENT}"))
        return tuple(sorted(n for n in found if NAME.fullmatch(n)))

    def listed(self) -> tuple[Listed, ...]:
        """Every repair, opened as far as it can be."""
        made = []
        for name in self.names():
            try:
                made.append(Listed(name, self.open(name)))
            except PanelmendError as error:
                made.append(Listed(name, None, str(error).splitlines()[0]))
        return tuple(made)

    def open(self, name: str) -> OpenRepair:
        """A repair by its name.

        Raises:
            MissingError: there is none.
            PanelmendError: its document cannot be planned.
        """
        path = self._path(name)
        with self._lock:
            kept = self._open.get(name)
            if kept is None:
                kept = OpenRepair(path)
                while len(self._open) >= MOST_OPEN:
                    self._open.pop(next(iter(self._open)))
                self._open[name] = kept
            return kept

    def taps(self, name: str) -> TapBook:
        """The taps of a repair. Raises MissingError."""
        path = self._path(name).with_name(TAPS)
        with self._lock:
            if name not in self._taps:
                self._taps[name] = TapBook(path)
            return self._taps[name]

    def _path(self, name: str) -> Path:
        path = self.repairs_folder / name / DOCUMENT
        if not NAME.fullmatch(name) or not path.is_file():
            raise MissingError(f"no repair {name[:80]!r} in this workshop")
        return path

    def with_demo(self) -> Workshop:
        """The workshop, with the demonstration repair put in where there is no repair at all."""
        if not self.names():
            folder = self.repairs_folder / DEMO
            folder.mkdir(exist_ok=True, mode=0o700)
            for file in sorted(resources.files("panelmend.screen").joinpath("demo").iterdir(), key=_last):
                replace_whole(folder / file.name, file.read_bytes())
        return self


def _last(file: object) -> tuple[bool, str]:
    """The document last: a repair is there once all of it is."""
    name = str(getattr(file, "name", ""))
    return name == DOCUMENT, name
