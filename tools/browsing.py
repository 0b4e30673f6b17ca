"""A demo practice served on a port of this machine, and pages of a browser that are watched while they work.

For the tests in a browser, the counts of touches and the pictures of the pages.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Playwright, Request, Response

import chromium
import envs
from demo_practice import PASSWORD

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / ".check"
STARTS_S, STOPS_S = 180.0, 180.0
"""How long a server may take on a machine that does other things as well."""
PATIENT_MS = 90_000
"""How long a page may take, milliseconds; nothing here is judged by its speed."""

Scheme = Literal["light", "dark"]
SCHEMES: tuple[Scheme, ...] = ("light", "dark")


class NoServer(Exception):
    """The practice could not be filled or served; holds what was said."""


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen; width and height in CSS pixels."""

    name: str
    width: int
    height: int
    touch: bool = False


PHONE = Screen("phone", 390, 844, touch=True)
LAPTOP = Screen("laptop", 1280, 900)


def source_hash() -> str:
    """Hash of the product: what a demo practice is made by."""
    digest = hashlib.sha256()
    for file in sorted((ROOT / "src").rglob("*")):
        if file.is_file() and "__pycache__" not in file.parts and "egg-info" not in str(file.parent):
            digest.update(f"{file.relative_to(ROOT).as_posix()}\0".encode())
            digest.update(file.read_bytes())
    digest.update((ROOT / "tools" / "demo_practice.py").read_bytes())
    return digest.hexdigest()[:12]


def demo_practice() -> Path:
    """A practice filled by the source as it is, kept for the next time; to be copied, not to be served."""
    kept = KEPT / f"demo-practice-{source_hash()}"
    if not (kept / "story-clock").is_file():
        KEPT.mkdir(exist_ok=True)
        for old in KEPT.glob("demo-practice-*"):
            shutil.rmtree(old, ignore_errors=True)
        with tempfile.TemporaryDirectory(dir=KEPT, prefix="filling-") as filling:
            _fill(Path(filling) / "practice")
            os.replace(Path(filling) / "practice", kept)
    return kept


def _fill(folder: Path) -> None:
    script = str(ROOT / "tools" / "demo_practice.py")
    ran = subprocess.run(
        [sys.executable, script, str(folder)], env=_variables(), capture_output=True, text=True, check=False
    )
    if ran.returncode:
        raise NoServer(f"the demo could not be filled: {ran.stderr[-2000:]}")


def _variables() -> dict[str, str]:
    found = envs.environment_for(str(ROOT))
    found.pop("STRANDLINE_TEST_DATABASE", None)
    return found


@contextmanager
def served(practice: Path) -> Iterator[str]:
    """Serve a copy of a practice on a free port; yields the address, without a stroke at its end."""
    with tempfile.TemporaryDirectory(prefix="strandline-pages-") as held:
        own = Path(held) / "practice"
        shutil.copytree(practice, own)
        port, said = free_port(), Path(held) / "said.txt"
        command = [sys.executable, "-m", "strandline", "serve", "--practice", str(own), "--port", str(port)]
        with said.open("wb") as file:
            process = subprocess.Popen(command, env=_variables(), stdout=file, stderr=subprocess.STDOUT)
        try:
            address = f"http://127.0.0.1:{port}"
            _wait_for(f"{address}/sign-in/", process, said)
            yield address
        finally:
            process.terminate()
            process.wait(STOPS_S)


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


def _wait_for(address: str, process: subprocess.Popen[bytes], said: Path) -> None:
    until = time.monotonic() + STARTS_S
    while time.monotonic() < until and process.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=10):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)  # not listening yet
    raise NoServer(f"no answer from {address}: {said.read_text(encoding='utf-8', errors='replace')[-2000:]}")


def launch(playwright: Playwright) -> Browser:
    """Start the browser; FileNotFoundError, with the command that installs one, where there is none."""
    program = chromium.program()
    if program is None:
        raise FileNotFoundError(f"no Chromium; install it: {chromium.install()}")
    flags = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return playwright.chromium.launch(executable_path=str(program), args=flags)


def context_for(
    browser: Browser, base: str, screen: Screen, scheme: Scheme = "light", state: Any = None, scale: float = 1
) -> BrowserContext:
    """A browser of its own, with its own cookies or those of ``state``, as on this screen."""
    found = browser.new_context(
        base_url=base,
        viewport={"width": screen.width, "height": screen.height},
        has_touch=screen.touch,
        is_mobile=screen.touch,
        device_scale_factor=scale,
        color_scheme=scheme,
        reduced_motion="reduce",
        locale="en-GB",
        timezone_id="Europe/London",
        storage_state=state,
        accept_downloads=True,
    )
    found.set_default_timeout(PATIENT_MS)
    return found


def sign_in(page: Page, name: str) -> None:
    """Sign in with a log-in of the demo."""
    page.goto("/sign-in/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")


@dataclass  # without slots: Playwright hangs what it needs on the methods it calls
class Watch:
    """Notes what must not happen on a page: errors in its console, refusals nobody expected, other hosts."""

    page: Page
    base: str
    _seen: list[str] = field(default_factory=list)
    _answers: list[tuple[int, str]] = field(default_factory=list)
    _console: list[tuple[str, str]] = field(default_factory=list)
    _expected: list[tuple[int, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin."""
        self.page.on("console", self._on_console)
        self.page.on("pageerror", lambda error: self._seen.append(f"an error in a script: {error}"))
        self.page.on("request", self._on_request)
        self.page.on("response", self._on_response)

    def expect(self, status: int, path: str) -> None:
        """Let one path answer with this status; that it does not is a fault then."""
        self._expected.append((status, path))

    def faults(self) -> list[str]:
        """What was seen so far that must not be."""
        told = list(self._seen)
        told += [
            f"{path} answered {code}" for code, path in self._answers if (code, path) not in self._expected
        ]
        told += [
            f"{path} did not answer {code}"
            for code, path in self._expected
            if (code, path) not in self._answers
        ]
        let = {path for _code, path in self._expected}
        told += [
            f"console: {text} ({path})"
            for text, path in self._console
            if not (text.startswith("Failed to load resource") and path in let)
        ]
        return told

    def _on_console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self._console.append((message.text, urlsplit(message.location["url"]).path))

    def _on_request(self, request: Request) -> None:
        if not request.url.startswith((f"{self.base}/", "data:", "blob:", "about:")):
            self._seen.append(f"asked another host: {request.url}")

    def _on_response(self, response: Response) -> None:
        if response.status >= 400:
            self._answers.append((response.status, urlsplit(response.url).path))


def sideways(page: Page) -> float:
    """How many CSS pixels of the page lie beyond its right edge; 0 for none."""
    return float(
        page.evaluate("() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth")
    )
