"""What only a browser can tell: true boxes of symbols, true widths of texts, taps on the page."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.circuit import Electrics, Setting, put
from ohmtrail.drawing import as_page, draw_ladder, draw_path, draw_whole
from ohmtrail.drawing.text import font_css
from ohmtrail.harness import Harness

Machine = Callable[[str], tuple[Harness, Electrics]]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

#: half the widest stroke of a symbol, px: getBBox leaves strokes out
STROKE = 1.3

EVERY_KIND = {
    "harness": "every kind of part",
    "places": {"bench": {"reach": "1 min"}, "wall": {"reach": "2 min"}},
    "parts": {
        "battery": {"kind": "battery", "at": "bench"},
        "winding": {"kind": "winding", "at": "bench", "between": ["U", "V"], "resistance": "1 Ω", "volts": {"cranking": "3 V", "running": "20 V"}},
        "pick-up": {"kind": "winding", "at": "bench", "between": ["T", "31"], "resistance": "1 Ω", "volts": {"cranking": "3 V", "running": "20 V"}, "mounts": {"31": "frame"}},
        "rectifier": {"kind": "rectifier", "at": "bench", "input": ["U", "V"], "output": ["B+", "31"]},
        "alternator": {"kind": "alternator", "at": "bench", "mounts": {"31": "engine"}},
        "dynamo": {"kind": "dynamo", "at": "bench"},
        "engine": {"kind": "metal", "at": "wall", "bolted_to": "frame"},
        "fuse": {"kind": "fuse", "at": "wall", "rating": "10 A"},
        "plug": {"kind": "connector", "at": "wall", "cavities": ["1", "2"]},
        "S1": {"kind": "splice", "at": "wall"},
        "key": {"kind": "switch", "at": "wall", "rests": "off", "positions": {"off": [["2", "31"]], "on": [["30", "15"]], "start": [["30", "15"], ["30", "50"]]}},
        "points": {"kind": "points", "at": "wall", "rests": "closed", "positions": {"closed": [["1", "31"]], "open": []}, "mounts": {"31": "engine"}},
        "condenser": {"kind": "capacitor", "at": "wall", "mounts": {"2": "engine"}},
        "coil": {
            "kind": "coil", "at": "wall", "primary": {"between": ["15", "1"], "resistance": "3 Ω"}, "secondary": {"between": ["4", "1"], "resistance": "8 kΩ"},
        },
        "spark-plug": {"kind": "spark-plug", "at": "wall", "mounts": {"31": "engine"}},
        "relay": {"kind": "relay", "at": "bench", "contacts": [{"between": ["30", "87"]}, {"between": ["30", "87a"], "rests": "closed"}]},
        "horn": {"kind": "horn", "at": "bench"},
        "motor": {"kind": "motor", "at": "bench", "resistance": "1 Ω"},
        "heater": {"kind": "resistor", "at": "bench", "resistance": "1 Ω"},
        "lamp": {"kind": "lamp", "at": "bench", "watts": "21 W"},
        "headlamp": {
            "kind": "lamp", "at": "bench", "filaments": {"dip": {"between": ["56b", "31"], "watts": "35 W"}, "main": {"between": ["56a", "31"], "watts": "35 W"}},
        },
        "flasher": {"kind": "flasher", "at": "bench"},
        "regulator": {"kind": "regulator", "at": "bench", "between": ["59", "31"], "limits": "14 V"},
        "diode": {"kind": "diode", "at": "bench"},
        "module": {"kind": "module", "at": "bench", "pins": ["A", "B", "C"]},
        "E1": {"kind": "earth", "at": "bench"},
    },
    "leads": {
        name: {"from": a, "to": b, "colour": "RD"}
        for name, a, b in (
            ("a1", "battery.+", "fuse.1"), ("a2", "fuse.2", "plug.1a"), ("a3", "plug.1b", "key.30"), ("a4", "key.15", "S1"), ("a5", "S1", "coil.15"),
            ("a6", "coil.1", "points.1"), ("a7", "points.1", "condenser.1"), ("a8", "coil.4", "spark-plug.HT"), ("a9", "battery.-", "E1"),
            ("b1", "key.50", "relay.86"), ("b2", "relay.85", "E1"), ("b3", "battery.+", "relay.30"), ("b4", "relay.87", "motor.1"), ("b5", "motor.2", "E1"),
            ("b6", "relay.87a", "horn.1"), ("b7", "horn.2", "E1"), ("c1", "S1", "flasher.49"), ("c2", "flasher.49a", "lamp.1"), ("c3", "lamp.2", "E1"),
            ("c4", "S1", "headlamp.56a"), ("c5", "S1", "headlamp.56b"), ("c6", "headlamp.31", "E1"), ("d1", "winding.U", "rectifier.U"),
            ("d2", "winding.V", "rectifier.V"), ("d3", "rectifier.B+", "battery.+"), ("d4", "rectifier.31", "E1"), ("d5", "alternator.B+", "battery.+"),
            ("d6", "dynamo.B+", "battery.+"), ("d7", "dynamo.31", "E1"), ("e1", "pick-up.T", "regulator.59"), ("e2", "regulator.31", "E1"),
            ("e3", "S1", "diode.A"), ("e4", "diode.K", "heater.1"), ("e5", "heater.2", "frame"), ("f1", "S1", "module.A"), ("f2", "module.B", "engine"),
            ("f3", "key.2", "module.C"), ("f4", "key.31", "frame"), ("f5", "plug.2a", "plug.1a"),
        )
    },
}  # fmt: skip


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A headless Chromium, where there is one."""
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    driver = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with driver.sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield started
        started.close()


@pytest.fixture
def every_kind() -> Harness:
    """A harness with a part of every kind."""
    return Harness.model_validate(EVERY_KIND)


def _opened(browser: Any, text: str, path: Path) -> Any:
    path.write_text(text, encoding="utf-8")
    page = browser.new_page()
    page.goto(path.as_uri())
    return page


OUTSIDE = """(stroke) => [...document.querySelectorAll('g.symbol')].flatMap(g => {
  const [l, t, r, b] = g.dataset.box.split(' ').map(Number), k = g.getBBox();
  const over = Math.max(l - (k.x - stroke), t - (k.y - stroke), k.x + k.width + stroke - r, k.y + k.height + stroke - b);
  return over > 0.6 ? [g.parentNode.dataset.id + ' by ' + over.toFixed(1)] : [];
})"""


def test_every_symbol_stays_within_its_declared_box(browser: Any, every_kind: Harness, tmp_path: Path) -> None:
    """All kinds of part, at rest and worked, measured by getBBox; every kind is in the picture."""
    worked = put(every_kind, Setting(), positions={"key": "start", "points": "open"}, parted=["plug"], out=["lamp", "fuse"])
    for number, setting in enumerate((Setting(), worked)):
        svg = draw_whole(every_kind, setting)
        page = _opened(browser, svg, tmp_path / f"kinds-{number}.svg")
        assert page.evaluate(OUTSIDE, STROKE) == []
        kinds = set(page.evaluate("[...document.querySelectorAll('g.part')].map(g => g.getAttribute('class').split(' ')[1])"))
        assert {part.kind for part in every_kind.parts.values()} <= kinds
        page.close()


def test_every_symbol_of_every_path_stays_within_its_box(browser: Any, machine_name: str, machine: Machine, tmp_path: Path) -> None:
    """The example machines' paths and ladders, whatever way round their parts stand."""
    harness, electrics = machine(machine_name)
    drawn = [draw(harness, name, electrics=electrics) for name in harness.functions for draw in (draw_path, draw_ladder)]
    html = "".join(f"<div>{svg.replace(font_css(), '')}</div>" for svg in drawn)
    page = _opened(browser, f"<!doctype html><meta charset=utf-8>{html}", tmp_path / "paths.html")
    assert page.evaluate("document.querySelectorAll('g.symbol').length") > len(drawn)
    assert page.evaluate(OUTSIDE, STROKE) == []
    page.close()


def test_texts_are_as_wide_as_they_were_measured(browser: Any, machine: Machine, tmp_path: Path) -> None:
    """Chromium's own width of each text against the table, within half a pixel."""
    harness, electrics = machine("trail-motorcycle")
    page = _opened(browser, draw_whole(harness, electrics=electrics), tmp_path / "whole.svg")
    page.evaluate("document.fonts ? document.fonts.ready : null")
    widths = page.evaluate(
        """[...document.querySelectorAll('text')].map(t => { const said = Number(t.getAttribute('textLength'));
        t.removeAttribute('textLength'); return [t.textContent, said, t.getComputedTextLength()]; })"""
    )
    assert len(widths) > 300
    assert [item for item in widths if abs(item[1] - item[2]) > 0.5 + 0.004 * item[1]] == []


def test_a_tap_keeps_a_net_and_dims_the_rest(browser: Any, machine: Machine, tmp_path: Path) -> None:
    """Tap a stop lead: its net stays, an unrelated lead is dimmed, its title is said; tap again: all is back."""
    harness, electrics = machine("trail-motorcycle")
    page = _opened(browser, as_page(draw_whole(harness, electrics=electrics), title="wall"), tmp_path / "wall.html")
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    lead = page.locator('.lead[data-id="stop-3"]')
    lead.focus()
    page.keyboard.press("Enter")
    state = "id => document.querySelector(`.lead[data-id='${id}']`).classList.contains('on')"
    assert page.evaluate(state, "stop-2")
    assert not page.evaluate(state, "horn-1")
    assert "stop-3" in page.locator("#said").text_content()
    page.keyboard.press("Enter")
    assert not page.evaluate("document.querySelector('svg').classList.contains('picked')")
    before = page.evaluate("document.querySelector('svg').style.transform")
    page.locator("#in").click()
    assert page.evaluate("document.querySelector('svg').style.transform") != before
    assert errors == []
    page.close()
