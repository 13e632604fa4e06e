"""A real browser before the demo, served as its README says. What a page may never do is held after every journey."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, Playwright, sync_playwright

from service.settings import ENV
from tests.frame.test_demo import DEMO, ROOT, free_port, fresh_environment, port_in, words_until_it_stays

# Debian's browser, since the one that Playwright brings is built for other systems.
CHROMIUM = shutil.which("chromium")
REQUIRED = ENV.flag("GUDGEON_REQUIRE_BROWSER")
NONE_HERE = "needs a browser: install the package chromium"
MOST_TABS = 120
PATIENCE = 15_000  # milliseconds, on a machine that does other things as well
WIDTHS = {"counter": 1280, "tablet": 820, "phone": 390}


@pytest.fixture(scope="session")
def chromium() -> str:
    if CHROMIUM is None:
        if REQUIRED:
            pytest.fail(NONE_HERE)
        pytest.skip(NONE_HERE)
    return CHROMIUM


@pytest.fixture(scope="module")
def playwright(chromium: str) -> Iterator[Playwright]:
    """Of each file: while it runs, its event loop does, and Django lets nobody at the database beside one."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Playwright, chromium: str) -> Iterator[Browser]:
    # In a container it cannot make a sandbox of its own.
    browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
    yield browser
    browser.close()


@dataclass(frozen=True, slots=True)
class Served:
    """The demo as it runs: where, and the password of its people."""

    address: str
    password: str


@pytest.fixture(scope="session")
def demo(chromium: str) -> Iterator[Served]:
    """One demo for all journeys; what one of them records the others find."""
    folder = Path(tempfile.mkdtemp(prefix="gudgeon-demo-"))
    environment = fresh_environment(folder, free_port())
    with subprocess.Popen(
        DEMO, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as running:
        port = port_in(words_until_it_stays(running))
        yield Served(f"http://127.0.0.1:{port}", (folder / "data" / "demo_password").read_text())
        running.terminate()
        running.communicate()
    shutil.rmtree(folder, ignore_errors=True)


@dataclass(slots=True)
class Desk:
    """A person before a browser: the page, and all that went wrong on it so far."""

    page: Page
    served: Served
    errors: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        self.page.goto(f"{self.served.address}{path}")
        self._look()

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def press(self, *keys: str) -> None:
        for key in keys:
            if key.startswith("Alt+"):
                self._access(key.removeprefix("Alt+"))
            else:
                self.page.keyboard.press(key)

    def send(self, key: str = "Enter") -> None:
        """Press a key that sends a form, and wait for the page that answers."""
        with self.page.expect_navigation():
            self.page.keyboard.press(key)
        self._look()

    def tab_to(self, field: Locator) -> None:
        """Tab onwards until it has the focus, as whoever has no mouse does."""
        for _ in range(MOST_TABS):
            self.press("Tab")
            if field.evaluate("one => one === document.activeElement"):
                return
        raise AssertionError(f"Not reached by {MOST_TABS} Tabs: {field}")

    def is_in_order(self) -> None:
        """Nothing sticks out sideways, and nobody is kept out."""
        assert self.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert self.faults_of_access() == []

    def _look(self) -> None:
        """Nobody types before the cursor stands where the page puts it."""
        self.page.wait_for_function(
            "!document.querySelector('[autofocus]') || document.activeElement !== document.body"
        )

    def _access(self, letter: str) -> None:
        """Alt and a letter, as a keyboard sends it: Playwright leaves out the letter, by which access keys are told."""
        tools = self.page.context.new_cdp_session(self.page)
        key = {"key": letter, "code": f"Key{letter.upper()}", "windowsVirtualKeyCode": ord(letter.upper())}
        for kind in ("keyDown", "keyUp"):
            tools.send("Input.dispatchKeyEvent", {"type": kind, "modifiers": 1, "unmodifiedText": letter, **key})
        tools.detach()

    def sign_in(self, name: str, password: str = "") -> None:
        """As one of the demo's people, or by a password that the owner gave, which another is to be chosen for.

        Nothing is typed before the page has put the focus where it belongs, which may be after it is loaded.
        """
        self.open("/")
        self.page.locator("#id_username:focus").wait_for()
        self.type(name)
        self.press("Tab")
        self.type(password or self.served.password)
        self.send()
        self.page.locator("#id_old_password:focus" if password else "#number:focus").wait_for()

    @property
    def verdict(self) -> str:
        return self.page.locator("#verdict").inner_text().strip()

    @property
    def reason(self) -> str:
        return self.page.locator(".reason").inner_text().strip()

    def faults_of_access(self) -> list[str]:
        """What axe finds that keeps people out: serious or worse."""
        found: dict[str, Any] = Axe().run(self.page).response
        return [
            f"{fault['id']}: {node['html'][:120]}"
            for fault in found["violations"]
            if fault["impact"] in ("serious", "critical")
            for node in fault["nodes"]
        ]


@pytest.fixture(params=["counter"])
def desk(request: pytest.FixtureRequest, browser: Browser, demo: Served) -> Iterator[Desk]:
    """A browser of its own, `counter`, `tablet` or `phone` wide. Nothing may fail on its pages or reach outside."""
    context = browser.new_context(viewport={"width": WIDTHS[request.param], "height": 900})
    context.set_default_timeout(PATIENCE)
    desk = Desk(context.new_page(), demo)
    page = desk.page
    page.on("console", lambda said: desk.errors.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: desk.errors.append(str(error)))
    page.on(
        "request",
        lambda sent: None if sent.url.startswith((demo.address, "data:")) else desk.outside.append(sent.url),
    )
    yield desk
    context.close()
    assert desk.errors == []
    assert desk.outside == []
