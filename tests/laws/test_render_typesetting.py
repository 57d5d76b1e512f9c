"""The typesetting door: repeatable, offline, strict, and user text stays text."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pypdf
import pytest

import kept_pages
from panelmend.errors import MissingError, OutputError
from panelmend.render.typesetting import _stamp, compile_pdf, compile_png, printable, template

SOURCE = (
    template("house")
    + """
#set document(title: data.title)
#set text(font: sans, lang: "en")
#set page(width: 100mm, height: 60mm)
#data.title
"""
)


@pytest.fixture(autouse=True)
def anew() -> Iterator[None]:
    with kept_pages.set_anew():
        yield


def test_user_text_is_never_markup() -> None:
    typed = '#panic() *no* _no_ $x$ @ref <l> `raw` // \\ #image("/x")'
    text = pypdf.PdfReader(io.BytesIO(compile_pdf(SOURCE, {"title": typed}))).pages[0].extract_text()
    assert "".join(text.split()) == "".join(typed.split())


def test_the_pdf_asks_for_no_scaling_and_says_what_it_is() -> None:
    pdf = compile_pdf(SOURCE, {"title": "Plies"}, dated=date(2026, 3, 4))
    reader = pypdf.PdfReader(io.BytesIO(pdf), strict=True)
    root = reader.root_object
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert b"<pdfaid:part>3</pdfaid:part>" in pdf
    assert b"<pdfaid:conformance>A</pdfaid:conformance>" in pdf
    assert reader.metadata is not None
    assert "2026-03-04" in str(reader.metadata.creation_date)
    fonts = [str(f["/BaseFont"]) for f in _fonts(reader)]
    assert fonts
    assert all("Inter" in f for f in fonts)


def _fonts(reader: pypdf.PdfReader) -> list[pypdf.generic.DictionaryObject]:
    return [f.get_object() for p in reader.pages for f in p["/Resources"]["/Font"].values()]


def test_a_warning_is_an_error() -> None:
    with pytest.raises(OutputError, match="unknown font"):
        compile_pdf('#set document(title: "t")\n#set text(font: "Nowhere Sans")\nwords', {})


def test_a_template_that_does_not_compile_is_refused() -> None:
    with pytest.raises(OutputError, match="does not compile"):
        compile_pdf("#nonsense", {})
    with pytest.raises(MissingError, match="nowhere"):
        template("nowhere")


def test_characters_the_font_lacks_are_shown_as_a_box() -> None:
    assert printable("45° ± ≥ Čž µ\nx") == "45° ± ≥ Čž µ\nx"
    assert printable("a漢b\x00") == "a□b□"
    pdf = compile_pdf(SOURCE, {"title": "漢\ufffd\U0001f600 \u202e abc"})
    assert "□" in pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


def test_same_bytes_again_and_in_another_process() -> None:
    data = {"title": "Same bytes", "zeta": 1, "alpha": {"b": 2, "a": 1}}
    first = compile_pdf(SOURCE, data)
    assert first == compile_pdf(SOURCE, data)
    program = (
        "import sys, hashlib\n"
        "from panelmend.render.typesetting import compile_pdf, compile_png, template\n"
        f"source = {SOURCE!r}; data = {data!r}\n"
        "h = hashlib.sha256(compile_pdf(source, data))\n"
        "h.update(compile_png(source, data)[0])\n"
        "print(h.hexdigest())\n"
    )
    said = {_run(program, seed) for seed in ("0", "12345")}
    assert len(said) == 1
    assert compile_png(SOURCE, data)[0][:4] == b"\x89PNG"


def _run(program: str, seed: str) -> str:
    src = str(Path(__file__).parents[2] / "src")
    env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": src}
    done = subprocess.run(
        [sys.executable, "-c", program],
        env=env,
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    return done.stdout


def test_pages_kept_for_other_tests_are_those_the_library_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(kept_pages.FOLDER, str(tmp_path))
    ways: list[tuple[str, dict[str, str], dict[str, object]]] = [
        (SOURCE, {"title": "Plies"}, {"format": "pdf", "pdf_standards": ["a-3a"], "timestamp": _stamp(None)}),
        (SOURCE, {"title": "Plies"}, {"format": "pdf", "pdf_standards": ["1.7"], "timestamp": _stamp(None)}),
        (SOURCE, {"title": "Cores"}, {"format": "svg", "timestamp": _stamp(None)}),
        (SOURCE, {"title": "Cores"}, {"format": "svg", "timestamp": _stamp(date(2026, 3, 4))}),
        (SOURCE + " ", {"title": "Cores"}, {"format": "svg", "timestamp": _stamp(None)}),
    ]
    for n, (source, data, settings) in enumerate(ways, 1):
        real = kept_pages.REAL(source, data, **settings)
        assert [kept_pages._kept(source, data, **settings) for _ in range(2)] == [real, real]
        assert len(list(tmp_path.iterdir())) == n
    with pytest.raises(OutputError):
        kept_pages._kept("#nonsense", {}, format="svg", timestamp=_stamp(None))
    assert len(list(tmp_path.iterdir())) == len(ways)


MANY = (
    """
import json, sys, psutil
from panelmend.render import typesetting
typesetting._MUCH = float(sys.argv[1])
source = """
    + repr(
        '#let d = json("/data.json")\n'
        "#for n in range(600) [#table(columns: 4, [#d.name], [#n], [row], [#(n * 2)])]"
    )
    + """
rows = []
for k in range(8):
    typesetting.compile_pdf(source, {"name": f"page {k}"}, standard="1.7")
    rows.append(psutil.Process().memory_info().rss)
print(json.dumps(rows))
"""
)


def test_a_process_that_stays_up_does_not_grow_with_every_page_it_sets() -> None:
    def grown(much: str) -> int:
        done = subprocess.run(
            [sys.executable, "-c", MANY, much],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ},
            timeout=300,
        )
        rows = json.loads(done.stdout)
        return rows[-1] - rows[1]

    kept, forgotten = grown("inf"), grown("1")
    assert kept > 50_000_000, "the library forgets by itself: nothing is shown here"
    assert forgotten < kept / 5
