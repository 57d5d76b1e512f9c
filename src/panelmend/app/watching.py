"""Following a running cure: a log file that grows, or an instrument described in a small TOML file."""

from __future__ import annotations

import asyncio
import csv
import time
import tomllib
from collections.abc import AsyncIterator, Callable
from io import StringIO
from pathlib import Path
from typing import Literal, Protocol, TextIO, assert_never

from pydantic import Field, ValidationError, model_validator

from panelmend.app.log_answers import air_pressure, cure_named
from panelmend.app.log_reading import kept_read_as
from panelmend.app.service import load, plan
from panelmend.curelog import ChannelRole
from panelmend.curelog.live import Buffer, GrowingFile, Point, Sample, follow, follow_samples
from panelmend.errors import InputError, OutputError
from panelmend.files import replace_whole
from panelmend.long_work import Stop
from panelmend.materials.quantities import Duration, Typed
from panelmend.plan.judge import CureRecipe, Predicted
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.evidence import RISE


class LivePoint(Typed):
    """One channel of an instrument."""

    name: str
    """Name of the channel."""
    role: Literal["thermocouple", "air", "vacuum", "set point", "power", "other"]
    """What it measures."""
    unit: str = ""
    """Unit of the number after scaling."""
    address: str = ""
    """Where it stands: holding:100:int16 for Modbus, the field of the message for MQTT."""
    scale: float = 1.0
    """What the raw number is multiplied with."""
    sense: Literal["below ambient", "below ambient, negative", "absolute"] = "below ambient"
    """How a vacuum is written."""


class LiveInstrument(Typed):
    """A live instrument."""

    kind: Literal["modbus", "mqtt"]
    """Modbus TCP, or MQTT through a broker."""
    host: str
    """Address of the instrument or the broker."""
    port: int = Field(ge=1, le=65535)
    """Its port."""
    device: int = Field(default=1, ge=0, le=247)
    """Modbus: unit number."""
    period: Duration = 5.0
    """Modbus: time between readings."""
    topic: str = ""
    """MQTT: topic to listen to."""
    client: str = ""
    """MQTT: name under which the broker keeps what was missed."""
    point: tuple[LivePoint, ...] = Field(min_length=1, max_length=200)
    """Channels."""

    @model_validator(mode="after")
    def _whole(self) -> LiveInstrument:
        if self.kind == "mqtt" and not (self.topic and self.client):
            raise InputError(
                "MQTT needs a topic and a client name", read=self.kind, expected="topic and client"
            )
        return self


def instrument_of(path: Path) -> LiveInstrument:
    """Read the description of an instrument. Raises InputError with what is wrong."""
    try:
        return LiveInstrument.model_validate(tomllib.loads(path.read_text("utf8")))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(p) for p in first["loc"])
        raise InputError(
            first["msg"], where=f"{path.name}, {where}", read=repr(first["input"])[:60]
        ) from None
    except (OSError, ValueError) as error:
        raise InputError("no description of an instrument", where=path.name, read=str(error)[:100]) from None


def expected_of(document: Path, operation: str) -> Predicted | None:
    """What the kept prediction of a cure says of its slowest thermocouple; None where there is none."""
    made = plan(document)
    cures = made.work.cure.operations if made.work is not None else ()
    found = next((o.prediction for o in cures if o.name == operation), None)
    if found is None:
        return None
    rows = [t.kelvin for t in found.traces if t.kind == "sensor"]
    fastest = [max(values) for values in zip(*rows, strict=True)]
    # A log's heat starts where a thermocouple begins to rise, not where the set point does.
    rising = next((t for t, v in zip(found.times, fastest, strict=True) if v > fastest[0] + RISE), 0.0)
    slowest = tuple(min(values) for values in zip(*rows, strict=True))
    return Predicted(tuple(t - rising for t in found.times), slowest)


def watch(
    document: Path,
    source: Path,
    operation: str,
    seconds: float,
    every: float,
    keep: Path | None,
    clear: bool,
    out: TextIO,
    stop: Stop,
) -> None:
    """Follow a cure until the user stops it or ``seconds`` have passed (0: for ever).

    Args:
        document: the repair document with the recipe.
        source: a growing log, or a .toml that names an instrument.
        operation: name of the cure operation.
        seconds: how long [s].
        every: time between looks [s].
        keep: instrument only: CSV file to which every reading is appended.
        clear: redraw in place.
        out: where to draw.
        stop: set to stop.
    """
    loaded = load(document).document
    recipe = recipe_of(loaded.data, cure_named(loaded, operation))
    expected = expected_of(document, operation or cure_named(loaded, operation).name)
    begun = time.monotonic()

    def go_on() -> bool:
        return not stop.is_set() and (seconds <= 0.0 or time.monotonic() - begun < seconds)

    view = loaded.repair.units
    if source.suffix != ".toml":
        growing = GrowingFile(source, kept_read_as(source))
        follow(growing, recipe, out, period=every, view=view, clear=clear, go_on=go_on, predicted=expected)
        return
    instrument = instrument_of(source)
    ambient = air_pressure(loaded)
    asyncio.run(_follow(instrument, recipe, ambient, every, keep, clear, out, go_on, view, expected))


async def _follow(
    instrument: LiveInstrument,
    recipe: CureRecipe,
    ambient: float | None,
    every: float,
    keep: Path | None,
    clear: bool,
    out: TextIO,
    go_on: Callable[[], bool],
    view: str,
    expected: Predicted | None,
) -> None:
    points = instrument_points(instrument)
    buffer = Buffer(points, ambient=ambient if ambient is not None else float("nan"))
    source = source_of(instrument, points)
    keeper = Keeper(keep, points, buffer) if keep is not None else None
    await follow_samples(
        source.samples(),
        buffer,
        recipe,
        out,
        period=every,
        view=view,
        clear=clear,
        go_on=go_on,
        predicted=expected,
        refused=lambda: int(getattr(source, "turned_away", 0)),
        kept=keeper.keep if keeper is not None else None,
    )


class LiveSource(Protocol):
    """An instrument that gives samples."""

    def samples(self) -> AsyncIterator[Sample]: ...


def instrument_points(instrument: LiveInstrument) -> list[Point]:
    """The channels of an instrument."""
    return [Point(p.name, ChannelRole(p.role), p.unit, p.address, p.scale, p.sense) for p in instrument.point]


def source_of(instrument: LiveInstrument, points: list[Point]) -> LiveSource:
    """The instrument, ready to give samples."""
    match instrument.kind:
        case "modbus":
            from panelmend.curelog.live.modbus import Modbus

            return Modbus(
                instrument.host, instrument.port, points, device=instrument.device, period=instrument.period
            )
        case "mqtt":
            from panelmend.curelog.live.mqtt import Mqtt

            return Mqtt(
                instrument.host, instrument.port, instrument.topic, points, client_id=instrument.client
            )
        case _:
            assert_never(instrument.kind)


class Keeper:
    """Writes what the buffer took to a CSV file as it comes: seconds since 1970 and the scaled numbers, each
    sample once; one that came late is written into its place, so that the file can be judged afterwards."""

    def __init__(self, path: Path, points: list[Point], buffer: Buffer) -> None:
        self.path, self.points, self.buffer = path, points, buffer
        self.rows: list[str] = []
        self.behind = False  # something could not be written: all is, next time
        try:
            self.before = path.read_text("utf8") if path.exists() else ""
            if not self.before:
                self.before = self._head()
                path.write_text(self.before, "utf8")
        except OSError as error:
            raise OutputError(f"{path} cannot be written: {error.strerror}") from None

    def again(self) -> int:
        """Take up what was written before the watch was broken off into the buffer, and go on in the same
        file; how many readings there were. A last line that was cut off is left out. Raises InputError where
        the file is of other channels."""
        head, *rows = self.before.splitlines(True)
        if head != self._head():
            raise InputError("readings of other channels", where=self.path.name, read=head.strip()[:80])
        for row in rows:
            cells = row.rstrip("\r\n").split(",")
            try:
                time_, *numbers = (float(c) if c else float("nan") for c in cells)
            except ValueError:
                numbers = []
            if not row.endswith("\n") or len(numbers) != len(self.points):
                self.behind = True
                continue
            values = tuple(v / p.scale for v, p in zip(numbers, self.points, strict=True))
            if self.buffer.add(Sample(time_, values)):
                self.rows.insert(self.buffer.placed, row)
        self.before = head
        return len(self.rows)

    def _head(self) -> str:
        names = (f"{p.name} [{p.unit}]" if p.unit else p.name for p in self.points)
        return self._row(["time [s since 1970]", *names])

    @staticmethod
    def _row(cells: list[str]) -> str:
        out = StringIO()
        csv.writer(out, lineterminator="\n").writerow(cells)
        return out.getvalue()

    def keep(self, sample: Sample) -> None:
        """Write one sample that is new, and what could not be written before. Raises OutputError."""
        numbers = (
            "" if v != v else repr(v * p.scale) for v, p in zip(sample.values, self.points, strict=True)
        )
        row = self._row([f"{sample.time:.3f}", *numbers])
        at = self.buffer.placed
        self.rows.insert(at, row)
        late, self.behind = self.behind or at < len(self.rows) - 1, True
        if late:
            replace_whole(self.path, (self.before + "".join(self.rows)).encode("utf8"))
        else:
            try:
                with self.path.open("a", encoding="utf8", newline="") as file:
                    file.write(row)
            except OSError as error:
                raise OutputError(f"{self.path} cannot be written: {error.strerror}") from None
        self.behind = False
