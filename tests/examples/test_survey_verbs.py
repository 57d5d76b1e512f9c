"""The verbs of the survey: a table to an outline and into a document."""

from __future__ import annotations

import re
import wave
from pathlib import Path

import numpy as np
from click.testing import CliRunner

from panelmend.app.cli import REFUSED, main
from panelmend.document import parse
from tap_plate import clamped_disc_frequency, plate_rigidity

DOOR = Path(__file__).parents[2] / "examples" / "gear_door"


def test_a_table_becomes_an_outline_and_a_document(tmp_path: Path) -> None:
    target = tmp_path / "made.toml"
    into = ["--into", str(DOOR / "repair.toml"), "--to", str(target), "--side", "outside"]
    result = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes", *into])
    assert result.exit_code == 0, result.output
    assert "1 damaged area" in result.output
    assert "Tap next at" in result.output
    made = parse(target.read_bytes()).document.survey
    assert made is not None
    assert len(made.sweep[0].readings) == 221
    again = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes", *into])
    assert again.exit_code == 4


def test_a_grid_table_gives_the_same_outline_as_its_points(tmp_path: Path) -> None:
    rows = [x.split(";") for x in (DOOR / "taps.csv").read_text().splitlines()[2:]]
    lines = [f"{(int(y) - 310) // 15 + 1},{(int(x) - 370) // 15 + 1},{t}" for x, y, t in rows]
    file = tmp_path / "grid.csv"
    file.write_text("row,column,tap\n" + "\n".join(lines))
    grid = ["--spacing", "15 mm", "--origin", "370 mm, 310 mm"]
    one = CliRunner().invoke(main, ["survey", str(file), "--yes", *grid]).output
    other = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes"]).output
    assert one.splitlines()[-3:] == other.splitlines()[-3:]


def test_refusals_are_words(tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_text("x mm,y mm,tap\n" + "\n".join(f"{i},{i % 3},d" for i in range(9)))
    result = CliRunner().invoke(main, ["survey", str(file), "--yes"])
    assert result.exit_code == 3
    assert "where the damage ends" in result.output
    assert CliRunner().invoke(main, ["survey", str(file)], input="n\n").exit_code == 3


def _record(path: Path, tones: list[float]) -> Path:
    """A recording of taps 0.25 s apart: each rings with its tone and dies away (synthetic)."""
    rate = 22_050
    noise = np.random.default_rng(7)
    sound = noise.normal(0.0, 5e-4, int(rate * (0.3 + 0.25 * len(tones))))
    t = np.arange(int(0.12 * rate)) / rate
    for i, tone in enumerate(tones):
        at = int(rate * (0.2 + 0.25 * i))
        sound[at : at + t.size] += 0.5 * np.sin(2 * np.pi * tone * t) * np.exp(-t / 0.012)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
    return path


def test_a_recording_on_a_grid_becomes_an_outline(tmp_path: Path) -> None:
    """Eleven by eleven taps, there and back; a loose disc in the middle rings at the clamped plate's tone.

    Leissa, NASA SP-160: lambda squared 10.2158, here a skin of 0.9 mm over a disbond of 40 mm radius.
    """
    n, spacing, radius = 11, 0.02, 0.045
    dull = clamped_disc_frequency(0.04, plate_rigidity(22e9, 0.9e-3, 0.15), 1850.0 * 0.9e-3)
    sound = 4.0 * dull
    tones = []
    for row in range(n):
        columns = range(n) if row % 2 == 0 else reversed(range(n))
        for column in columns:
            far = np.hypot((column - 5) * spacing, (row - 5) * spacing)
            tones.append(dull if far < radius else sound)
    panel = _record(tmp_path / "panel.wav", tones)
    spot = _record(tmp_path / "spot.wav", [sound] * 4)
    table = tmp_path / "taps.csv"
    done = CliRunner().invoke(
        main,
        [
            "taps",
            str(panel),
            "--reference",
            str(spot),
            "--columns",
            "11",
            "--there-and-back",
            "--to",
            str(table),
        ],
    )
    assert done.exit_code == 0, done.output
    made = CliRunner().invoke(
        main, ["survey", str(table), "--yes", "--origin", "100 mm, 100 mm", "--spacing", "20 mm"]
    )
    assert made.exit_code == 0, made.output
    found = re.search(r"area 1 at ([\d.]+) mm, ([\d.]+) mm: ([\d.]+) mm along", made.output)
    assert found is not None, made.output
    x, y, size = (float(v) for v in found.groups())
    assert abs(x - 200.0) < 6.0
    assert abs(y - 200.0) < 6.0
    assert 90.0 <= size < 180.0, "the outer line contains the loose disc of 90 mm"


def test_taps_that_do_not_fill_the_grid_are_refused(tmp_path: Path) -> None:
    panel = _record(tmp_path / "panel.wav", [3000.0] * 7)
    target = tmp_path / "taps.csv"
    words = ["taps", str(panel), "--reference", str(panel), "--to", str(target)]
    assert CliRunner().invoke(main, words).exit_code == REFUSED
    done = CliRunner().invoke(main, [*words, "--columns", "3"])
    assert done.exit_code == REFUSED
    assert "do not fill whole rows" in done.output
    assert not target.exists()
