"""The viewer's paper: only what there is, and contrast that holds in glare."""

import re
from pathlib import Path

import pytest
from flask import Flask

from shoptrack.web.assets import FOLDER
from shoptrack.web.looks import LOOKS, look


@pytest.mark.parametrize(
    ("cookie", "chosen"), [("glare", "glare"), ("paper", "paper"), ("neon", ""), ("", "")]
)
def test_only_papers_that_there_are(bare_app: Flask, cookie: str, chosen: str) -> None:
    with bare_app.test_request_context("/", headers={"Cookie": f"look={cookie}"}):
        assert look() == chosen
        assert chosen in (*LOOKS, "")


def colours(selector: str) -> dict[str, str]:
    css = Path(FOLDER / "css" / "tokens.css").read_text(encoding="utf-8")
    block = css[css.index(selector) :].split("}")[0]
    return dict(re.findall(r"--([\w-]+): #([0-9a-f]{3,6});", block))


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    full = colour if len(colour) == 6 else "".join(c * 2 for c in colour)
    parts = [int(full[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("selector", "least"), [(":root {", 4.5), (":root:not(.glare", 4.5), (":root.glare {", 7.0)]
)
def test_lettering_stands_out(selector: str, least: float) -> None:
    """WCAG 2.2: 4.5 to 1 (1.4.3), in glare 7 to 1 (1.4.6); on plain paper, field paper and wood for ink."""
    of = colours(selector)
    for lettering in ("ink", "pencil", "rust"):
        for paper in ("paper", "paper-2"):
            assert contrast(of[lettering], of[paper]) >= least, (lettering, paper)
    assert contrast(of["ink"], of["wood"]) >= least
    assert contrast("ffffff", "000000") == pytest.approx(21)
