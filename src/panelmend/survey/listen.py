"""Taps told as they come: a recording that is still growing, listened to block by block.

No sound card is driven here: any recorder that writes an uncompressed WAV file, or sends raw samples to
standard input, will do.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np

from panelmend.errors import ReadingError
from panelmend.files import opening
from panelmend.survey.wav import LISTEN, SILENT_BELOW, TAPS_APART, Array, HeardTap, decoded_samples, tap_of

BLOCKS_A_SECOND = 500  # blocks to a second
BEFORE = 4  # blocks looked back at for a jump
NOISE_MEMORY = 5.0  # [s] of the past the noise is judged by
QUIET_AT_START = 0.2  # [s] of quiet before the first tap
ABOVE, JUMP, SHARE = 4.0, 3.0, 0.05  # over the noise, over what came before, of the loudest
BYTES_AT_ONCE = 4096  # bytes read at once
LOOK_PAUSE = 0.05  # [s] between looks at a growing file


class Listener:
    """Finds taps in samples as they are fed; what it finds does not depend on how they were cut up."""

    def __init__(self, rate: int) -> None:
        if rate < 4000:
            raise ReadingError("too coarse in time", read=f"{rate} Hz", expected="4,000 Hz or more")
        self.rate, self.step = rate, max(1, rate // BLOCKS_A_SECOND)
        self.samples: Array = np.zeros(0)
        self.start = 0  # number of the first sample kept
        self.done = 0  # blocks looked at
        self.loud: deque[float] = deque(maxlen=int(NOISE_MEMORY * BLOCKS_A_SECOND))
        self.between: deque[float] = deque(maxlen=int(NOISE_MEMORY * BLOCKS_A_SECOND))
        self.open: list[int] = []
        self.last = -(10**9)

    def feed(self, samples: Array) -> tuple[HeardTap, ...]:
        """Taps that are complete with these samples (n,) [full scale]."""
        self.samples = np.concatenate([self.samples, samples])
        end = self.start + len(self.samples)
        found = []
        while (self.done + 1) * self.step <= end:
            self._look()
            self.done += 1
            found += self._ripe(self.done * self.step)
        self._forget()
        return tuple(found)

    def finish(self) -> tuple[HeardTap, ...]:
        """Taps that were still being listened to when the recording ended."""
        end = self.start + len(self.samples)
        found = [self._tap(i, end) for i in self.open]
        self.open = []
        return tuple(found)

    @property
    def noise(self) -> float:
        """Loudness between the taps [of full scale]: what nine in ten blocks stay below."""
        return float(np.quantile(np.fromiter(self.between, float), 0.9)) if self.between else 0.0

    def _look(self) -> None:
        at = self.done * self.step
        piece = self.samples[at - self.start : at - self.start + self.step]
        level = float(np.sqrt((piece**2).mean()))
        before = min(list(self.loud)[-BEFORE:], default=level)
        if len(self.loud) >= QUIET_AT_START * BLOCKS_A_SECOND:
            past = np.fromiter(self.loud, float)
            floor = max(ABOVE * float(np.median(past)), SHARE * float(past.max()), SILENT_BELOW)
            if level > floor and level > JUMP * before and at - self.last > TAPS_APART * self.rate:
                self.open.append(at)
                self.last = at
        self.loud.append(level)
        if at - self.last > 2 * LISTEN * self.rate:
            self.between.append(level)

    def _ripe(self, end: int) -> list[HeardTap]:
        ready = [i for i in self.open if end - i >= LISTEN * self.rate]
        self.open = [i for i in self.open if i not in ready]
        return [self._tap(i, end) for i in ready]

    def _tap(self, at: int, end: int) -> HeardTap:
        piece = self.samples[at - self.start : end - self.start]
        made = tap_of(piece, self.rate, 0, np.abs(piece), self.noise)
        return HeardTap(at / self.rate, made.frequency, made.decay, made.clipped, made.above)

    def _forget(self) -> None:
        keep = min([*self.open, self.done * self.step]) - self.start
        if keep > self.rate:
            self.samples, self.start = self.samples[keep:], self.start + keep


class Frames:
    """Bytes of little-endian PCM as samples; what is left of a frame waits for the next bytes."""

    def __init__(self, width: int = 2, channels: int = 1) -> None:
        self.width, self.channels, self.rest = width, channels, b""

    def take(self, data: bytes) -> Array:
        """Samples (n,) [full scale]; several channels are averaged."""
        data = self.rest + data
        frame = self.width * self.channels
        whole = len(data) // frame * frame
        self.rest = data[whole:]
        return np.asarray(decoded_samples(data[:whole], self.width).reshape(-1, self.channels).mean(axis=1))


def raw(stream: BinaryIO, width: int = 2, channels: int = 1) -> Iterator[Array]:
    """Samples (n,) [full scale] of raw PCM as they arrive on a stream, until it is closed."""
    frames, read = Frames(width, channels), getattr(stream, "read1", stream.read)
    while data := read(BYTES_AT_ONCE):
        yield frames.take(data)


def growing(
    path: Path, quiet: float = 30.0, sleep: Callable[[float], None] = time.sleep
) -> tuple[int, Iterator[Array]]:
    """Rate [Hz] and samples [full scale] of a WAV file that is still being written.

    The size in its head is not believed: recorders write it last. It ends when nothing was added for
    ``quiet`` [s].

    Raises:
        MissingError: no such file.
        ReadingError: its head is not that of an uncompressed WAV file.
    """
    with opening(path):
        file = path.open("rb")
    try:
        channels, rate, width = _head(file, path.name)
    except BaseException:
        file.close()
        raise

    def pieces() -> Iterator[Array]:
        waited, frames = 0.0, Frames(width, channels)
        with file:
            while True:
                data = file.read(BYTES_AT_ONCE)
                if data:
                    waited = 0.0
                    yield frames.take(data)
                    continue
                if waited >= quiet:
                    return
                sleep(LOOK_PAUSE)
                waited += LOOK_PAUSE

    return rate, pieces()


def _head(file: BinaryIO, name: str) -> tuple[int, int, int]:
    """Channels, rate [Hz] and bytes to a sample; the file then stands at its first sample."""
    refused = ReadingError("not an uncompressed WAV file", where=name, expected="PCM of 8 to 32 bit")
    start = file.read(12)
    if len(start) < 12 or start[:4] != b"RIFF" or start[8:] != b"WAVE":
        raise refused
    form: tuple[int, int, int] | None = None
    while True:
        part = file.read(8)
        if len(part) < 8:
            raise refused
        size = int.from_bytes(part[4:], "little")
        if part[:4] == b"data":
            break
        if size > 1_000_000:
            raise refused
        body = file.read(size + size % 2)
        if part[:4] == b"fmt ":
            kind, channels, rate = (int.from_bytes(body[a:b], "little") for a, b in ((0, 2), (2, 4), (4, 8)))
            bits = int.from_bytes(body[14:16], "little")
            if kind not in (1, 0xFFFE) or bits not in (8, 16, 24, 32) or not 1 <= channels <= 8:
                raise refused
            form = (channels, rate, bits // 8)
    if form is None:
        raise refused
    return form
