"""Where the browser is: named by hand, on the path, or one that playwright knows."""

import os
import shutil
from pathlib import Path

from playwright.sync_api import Browser, BrowserType, Error

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
CHANNELS = ("chromium", "chrome", "msedge")
INSTALL = "apt-get install chromium (as root), or: python -m playwright install chromium"


def flags(*more: str) -> list[str]:
    """Chromium refuses to run as root inside its sandbox: the only flag that is not asked for."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return [*(["--no-sandbox"] if root else []), *more]


def find_file() -> str | None:
    """The browser's file: $SHOPTRACK_BROWSER, else the first name found on the path."""
    named = os.environ.get("SHOPTRACK_BROWSER")
    if named:
        return named if Path(named).exists() else None
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def launch(kind: BrowserType, *more: str) -> Browser | None:
    """A running browser; None where there is none."""
    file = find_file()
    if file:
        return kind.launch(executable_path=file, args=flags(*more))
    for channel in CHANNELS:
        try:
            return kind.launch(channel=channel, args=flags(*more))
        except Error:
            continue
    return None
