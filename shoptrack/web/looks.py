"""A viewer's choice of paper to the sheet's class: as the device says, paper, or glare by a window."""

from flask import Flask, request

COOKIE = "look"
LOOKS = ("paper", "glare")


def look() -> str:
    """The viewer's choice, empty for what the device itself prefers."""
    chosen = request.cookies.get(COOKIE, "")
    return chosen if chosen in LOOKS else ""


def hang(app: Flask) -> None:
    """Give the templates ``look``."""
    app.jinja_env.globals["look"] = look
