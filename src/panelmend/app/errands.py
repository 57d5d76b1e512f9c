"""Long work in the background: one at a time, told how far it is, stopped when it is asked to.

What an errand comes to is kept until the repair is another: it names the plan it was made from.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any

from panelmend.errors import Cancelled, InputError, PanelmendError
from panelmend.long_work import Stop, Tell

Work = Callable[[Tell, Stop], Any]
MOST_KEPT = 24  # results of errands


@dataclass
class Errand:
    """One piece of long work: what it tells, whether it runs, what it came to or why not."""

    kind: str
    begun: float = field(default_factory=time.monotonic)
    words: str = ""
    running: bool = True
    fault: str = ""
    made: Any = None
    seconds: float = 0.0
    stop: threading.Event = field(default_factory=threading.Event)


class Errands:
    """The errands of a workshop, by repair and kind. Safe to use from several threads."""

    def __init__(self) -> None:
        self._errands: dict[tuple[str, str], Errand] = {}
        self._lock = threading.Lock()
        self._turn = threading.Lock()

    def begin(self, repair: str, kind: str, work: Work) -> Errand:
        """Begin an errand; it waits for its turn while another runs.

        Raises:
            InputError: the same is running.
        """
        with self._lock:
            running = self._errands.get((repair, kind))
            if running is not None and running.running:
                raise InputError("this is already being made", todo="wait for it, or stop it")
            made = Errand(kind, words="waits for its turn")
            self._errands.pop((repair, kind), None)
            while len(self._errands) >= MOST_KEPT:
                done = next((k for k, e in self._errands.items() if not e.running), None)
                if done is None:
                    raise InputError("too many things are being made at once", todo="wait for some of it")
                del self._errands[done]
            self._errands[repair, kind] = made
        threading.Thread(target=self._run, args=(made, work), daemon=True, name=f"errand {kind}").start()
        return made

    def of(self, repair: str, kind: str) -> Errand | None:
        """The errand of this kind that runs or ran last."""
        with self._lock:
            return self._errands.get((repair, kind))

    def running(self, repair: str, kinds: Collection[str]) -> bool:
        """Whether any of these kinds runs for a repair, or waits for its turn."""
        with self._lock:
            return any(e.running for (r, k), e in self._errands.items() if r == repair and k in kinds)

    def stop(self, repair: str, kind: str) -> Errand | None:
        """Ask an errand to stop."""
        found = self.of(repair, kind)
        if found is not None:
            found.stop.set()
        return found

    def stop_all(self) -> None:
        """Ask every errand to stop."""
        with self._lock:
            for errand in self._errands.values():
                errand.stop.set()

    def _run(self, errand: Errand, work: Work) -> None:
        def tell(words: str) -> None:
            errand.words = words

        try:
            with self._turn:
                if errand.stop.is_set():
                    raise Cancelled("stopped")
                errand.made = work(tell, errand.stop)
                errand.words = ""
        except Cancelled:
            errand.fault = "stopped; what was there before is as it was"
        except PanelmendError as error:
            errand.fault = str(error)
        except Exception as error:
            errand.fault = f"a fault of panelmend itself: {type(error).__name__}"
            raise
        finally:
            errand.seconds = time.monotonic() - errand.begun
            errand.running = False
