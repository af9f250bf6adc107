"""WebKit, driven by the W3C WebDriver protocol: found, started on a screen nobody sees, tapped and read."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from socket import socket
from typing import Any

from tests.browser.served import free_port, wait_for

DRIVER, SCREEN = "WebKitWebDriver", "Xvfb"
INSTALL = "apt-get install webkit2gtk-driver xvfb (as root)"
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the name of a reference: W3C WebDriver section 12.1


def browser_file() -> Path | None:
    """The small browser that comes with the library; None where there is none."""
    folders = [*Path("/usr/lib").glob("*/webkit*gtk-*"), *Path("/usr/libexec").glob("webkit*gtk-*")]
    return next((f / "MiniBrowser" for f in sorted(folders) if (f / "MiniBrowser").exists()), None)


def missing() -> str:
    """What is not here that WebKit needs, in words; empty where it can be driven."""
    if not sys.platform.startswith("linux"):
        return "WebKit is driven on Linux alone"
    lacks = [] if shutil.which(DRIVER) else [DRIVER]
    lacks += [] if browser_file() else ["MiniBrowser"]
    seen = shutil.which(SCREEN) or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    lacks += [] if seen else [f"a screen, or {SCREEN}"]
    return f"no {', no '.join(lacks)} here; install with: {INSTALL}" if lacks else ""


class WebKit:
    """One window of the browser."""

    def __init__(self, port: int) -> None:
        self._at = f"http://127.0.0.1:{port}"
        options = {"binary": str(browser_file()), "args": ["--automation"]}
        asked = {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": options}}}
        self._session = str(self._say("POST", "/session", asked)["sessionId"])

    def open(self, address: str) -> None:
        """Go to an address."""
        self._say("POST", self._path("/url"), {"url": address})

    def script(self, body: str, *args: object) -> Any:
        """What a function with this body gives, called in the page."""
        return self._say("POST", self._path("/execute/sync"), {"script": body, "args": list(args)})

    def tap(self, found: str, *args: object) -> None:
        """Tap the element that a function with this body gives, then rest as long as a hand does."""
        element = self.script(found, *args)
        assert element, found
        self._say("POST", self._path(f"/element/{element[ELEMENT]}/click"), {})
        pause = "setTimeout(arguments[0], 750)"  # a second tap within 700 ms is a bounce of the first
        self._say("POST", self._path("/execute/async"), {"script": pause, "args": []})

    def text(self, selector: str) -> str:
        """The words of an element; empty where there is none."""
        return str(self.script("return document.querySelector(arguments[0])?.textContent ?? ''", selector))

    def close(self) -> None:
        """Close the window."""
        with suppress(OSError):
            self._say("DELETE", self._path(""))

    def _path(self, path: str) -> str:
        return f"/session/{self._session}{path}"

    def _say(self, method: str, path: str, body: object = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        asked = urllib.request.Request(self._at + path, data, method=method)
        with urllib.request.urlopen(asked, timeout=120) as answer:
            return json.load(answer)["value"]


@contextmanager
def webkit() -> Iterator[WebKit]:
    """A browser for the length of a block, with its driver and where needed a screen."""
    with _screen() as env, tempfile.TemporaryFile() as log:
        port = free_port()
        command = [DRIVER, f"--port={port}", "--host=127.0.0.1"]
        with subprocess.Popen(command, env=env, stdout=log, stderr=log) as driver:
            try:
                wait_for("the driver answers", lambda: _answers(port))
                found = WebKit(port)
                try:
                    yield found
                finally:
                    found.close()
            finally:
                driver.terminate()


def _answers(port: int) -> bool:
    with closing(socket()) as ask:
        return ask.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def _screen() -> Iterator[dict[str, str]]:
    """The environment with a screen in it; the screen chooses its own number."""
    if shutil.which(SCREEN) is None:
        yield dict(os.environ)
        return
    reads, writes = os.pipe()
    command = [SCREEN, "-displayfd", str(writes), "-screen", "0", "1280x800x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=(writes,), stderr=subprocess.DEVNULL) as screen:
        os.close(writes)
        try:
            with os.fdopen(reads) as said:
                number = said.readline().strip()
            env = {k: v for k, v in os.environ.items() if k != "WAYLAND_DISPLAY"}
            yield {**env, "DISPLAY": f":{number}", "GDK_BACKEND": "x11"}
        finally:
            screen.terminate()
