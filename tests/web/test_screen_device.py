"""What the device's scripts do when the server fails or falls silent, and in whose zone "now" is written."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from panelmend.screen.workshop import DEMO
from screen_made import REPAIR
from screen_window import Window, demonstration

STEPS = f"{REPAIR}/steps"


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a step, held by the technician."""
    with demonstration(1180, 820) as made:
        made.held_at_a_step()
        yield made


def _written(window: Window) -> list[str]:
    book = window.running.workshop.book
    assert book is not None
    job = book.state.jobs[DEMO]
    return [f.reading.typed for f in job.now(job.opened.steps[0].key).filled.values()]


def test_a_page_whose_answers_stop_coming_says_so(window: Window) -> None:
    """15 s without an answer are said, and an asking that fails does not take the words away."""
    window.first_step()
    window.js(
        "const p = performance.now.bind(performance), f = fetch; window.failed = 0; window.ahead = 0;"
        "performance.now = () => p() + window.ahead;"
        "window.fetch = (...a) => f(...a).catch(e => { window.failed += 1; throw e; });"
    )
    window.lose_server(True)
    try:
        window.wait("return window.failed > 0")
        window.js("window.ahead = 16000; window.failed = 0")
        window.wait("return window.failed > 0")
        time.sleep(0.2)  # what follows the failure has been shown
        assert not window.js("return document.querySelector('[data-stale]').hidden")
        assert "behind" in window.js("return document.documentElement.className")
    finally:
        window.lose_server(False)
    window.wait("return document.querySelector('[data-stale]').hidden")


def test_a_reading_outlives_a_fault_of_the_server(window: Window) -> None:
    """500 answers keep it on the device; it is written with the first answer that takes it."""
    window.first_step()
    window.js(
        "const f = fetch; window.faulty = true; window.faults = 0; window.fetch = (path, o) => {"
        "if (!window.faulty || !path.endsWith('/reading')) return f(path, o); window.faults += 1;"
        "return Promise.resolve(new Response(JSON.stringify({type: 'about:blank', title: 'fault',"
        "status: 500}), {status: 500})); };"
    )
    window.js(
        "import('/static/keep.js').then(m => new m.Kept('readings ' + arguments[0], {aged: true})"
        ".put(arguments[1], {blank: 3, typed: 'outlived', person: 'T1', limit: '', meets: null, why: ''}))",
        DEMO,
        f"{STEPS}/1/reading",
    )
    window.wait("return window.faults > 0")
    time.sleep(0.2)
    assert window.js("return Object.keys(localStorage).filter(k => k.startsWith('panelmend kept')).length")
    window.js("window.faulty = false")
    window.wait("return !Object.keys(localStorage).some(k => k.startsWith('panelmend kept'))")
    assert "outlived" in _written(window)


@pytest.mark.parametrize(
    ("zone", "written", "minutes"),
    [("Asia/Kathmandu", "+05:45", 345), ("Pacific/Marquesas", "-09:30", -570)],
)
def test_now_is_written_with_the_zone_it_is_told_in(
    window: Window, zone: str, written: str, minutes: int
) -> None:
    """What the button puts in is this moment, whatever zone the device stands in."""
    window.driver.execute_cdp_cmd("Emulation.setTimezoneOverride", {"timezoneId": zone})
    try:
        window.first_step()
        window.js(
            "document.querySelector('[data-blank=\"1\"]')"
            ".insertAdjacentHTML('beforeend', '<button type=button data-now>now</button>')"
        )
        window.js("document.querySelector('[data-now]').click()")
        typed = window.js("return document.querySelector('#b-1').value")
        assert typed.endswith(written)
        local = datetime.strptime(typed[:16], "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
        assert abs((local - timedelta(minutes=minutes) - datetime.now(UTC)).total_seconds()) < 90
    finally:
        window.driver.execute_cdp_cmd("Emulation.setTimezoneOverride", {"timezoneId": ""})
