"""A browser's window at a served screen, for tests of its pages."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from panelmend.screen import server
from panelmend.screen.workshop import DEMO, PEOPLE
from screen_made import REPAIR, chromium, served

WEB = Path(__file__).parent / "web"
AXE = WEB / "axe" / "axe.min.js"
RULERS = (WEB / "rulers.js").read_text("utf8")


class Window:
    """A browser at a screen that is served."""

    def __init__(self, driver: Any, running: server.Running) -> None:
        self.driver, self.running = driver, running

    @property
    def base(self) -> str:
        """The screen's address."""
        return f"{self.running.site.scheme}://127.0.0.1:{self.running.port}"

    def go(self, path: str, theme: str = "bright") -> None:
        """Open a page of a theme with its style sheets: on a busy machine the driver is back before them."""
        self.driver.add_cookie({"name": "panelmend-theme", "value": theme, "path": "/"})
        self.driver.get(self.base + path)
        self.wait("return document.readyState === 'complete'")

    def panel(self) -> None:
        """Open the demonstration's panel, at rest."""
        self.go(f"/repairs/{DEMO}")
        self.wait("return document.documentElement.dataset.ready === 'panel'")

    def first_step(self) -> None:
        """Open the first step of the demonstration's card, at rest."""
        self.go(f"/repairs/{DEMO}/card/1")
        self.wait("return document.documentElement.dataset.ready === 'step'")

    def held_at_a_step(self) -> None:
        """Begin the demonstration's job, the device held by the technician."""
        self.go("/")
        self.post(f"{REPAIR}/demonstration", {})
        self.post(f"{REPAIR}/job", {"person": "P1", "secret": self.secrets()["P1"]})
        self.post("/api/hold", {"person": "T1", "secret": self.secrets()["T1"]})

    def lose_server(self, lost: bool) -> None:
        """Take the connection away, or give it back."""
        self.driver.execute_cdp_cmd("Network.enable", {})
        self.driver.execute_cdp_cmd(
            "Network.emulateNetworkConditions",
            {"offline": lost, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1},
        )

    def one(self, selector: str) -> Any:
        """An element."""
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def press(self, selector: str) -> None:
        """Scroll there and press it."""
        element = self.one(selector)
        self.js("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()

    def type(self, selector: str, words: str) -> None:
        """Put words into a field in place of what it held; the field is not left."""
        self.press(selector)
        self.one(selector).send_keys(Keys.CONTROL + "a")
        self.one(selector).send_keys(words)

    def js(self, code: str, *given: Any) -> Any:
        """Run a script on the page."""
        return self.driver.execute_script(code, *given)

    def post(self, path: str, sent: Any) -> Any:
        """Write as the page would, without a page for it."""
        code = (
            "const done = arguments[arguments.length - 1]; fetch(arguments[0], {method: 'POST', headers:"
            "{'Content-Type': 'application/json'}, body: JSON.stringify(arguments[1])}).then(r => r.json())"
            ".then(done);"
        )
        return self.driver.execute_async_script(code, path, sent)

    def secrets(self) -> dict[str, str]:
        """Secrets of the invented people by staff number."""
        rows = json.loads((self.folder / PEOPLE).read_text("utf8"))
        return {row["person"]: row["secret"] for row in rows}

    def wait(self, code: str) -> None:
        """Until a script says yes."""
        WebDriverWait(self.driver, 90, 0.05).until(lambda d: d.execute_script(code))

    def said(self) -> list[str]:
        """What the browser complained of."""
        return [row["message"] for row in self.driver.get_log("browser") if row["level"] != "DEBUG"]

    @property
    def text(self) -> str:
        """The document on the disk."""
        return (self.folder / "repairs" / DEMO / "repair.toml").read_text("utf8")

    @property
    def folder(self) -> Path:
        """The workshop's folder."""
        return Path(self.running.folder)


@contextmanager
def demonstration(width: int = 1280, height: int = 900) -> Iterator[Window]:
    """A browser at a workshop of its own with the demonstration."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(width, height) as driver:
        driver.get(running.for_the_browser)
        yield Window(driver, running)
    shutil.rmtree(folder, ignore_errors=True)


def faults_of_axe(window: Window) -> list[dict[str, Any]]:
    """What axe finds on the page that shows, its slightest kind left out."""
    window.js(AXE.read_text("utf8"))
    rules = {"resultTypes": ["violations"], "rules": {"color-contrast-enhanced": {"enabled": True}}}
    result = window.driver.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        f"axe.run(document, {json.dumps(rules)}).then(r => done(r.violations.map(v => "
        "({id: v.id, impact: v.impact, where: v.nodes.map(n => n.html.slice(0, 120))}))));"
    )
    return [r for r in result if r["impact"] in ("serious", "critical", "moderate")]
