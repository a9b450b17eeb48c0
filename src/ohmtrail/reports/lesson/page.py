"""A lesson as one HTML file: pictures, circuit, walks, faults, and the script that solves and shows them."""

from __future__ import annotations

import base64
import functools
import hashlib
import json
from html import escape
from importlib import resources
from typing import Any

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.circuit import needs as levels
from ohmtrail.circuit.meter import DWELL, FLICKERS_BY, LAMP_BRIGHT, LAMP_OUT, OHM_KNEE, Meter, breakers_of
from ohmtrail.diagnosis import Step, all_cautions, caution, cautions_for
from ohmtrail.diagnosis.candidates import shunned
from ohmtrail.drawing import LIVE_CSS
from ohmtrail.drawing.lead_words import lead_title
from ohmtrail.drawing.states import LIVE_V, SHOWN_A
from ohmtrail.drawing.text import font_css
from ohmtrail.drawing.wording import part_title
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness.links import ENGINE_STATES
from ohmtrail.harness.model import Function
from ohmtrail.harness.parts import Switch
from ohmtrail.reports.lesson.circuit import circuit_data, fault_data
from ohmtrail.reports.lesson.made import Lesson
from ohmtrail.reports.lesson.walks import Walk
from ohmtrail.units import show

__all__ = ["lesson_data", "lesson_page"]

Json = dict[str, Any]

#: what the meter of the page can be put to, and the engine states in which it can
_RANGES = (
    *((quantity, engine) for quantity in ("volts", "lamp") for engine in ENGINE_STATES),
    ("ac", "cranking"), ("ac", "running"), ("ohms", "still"), ("beep", "still"),
)  # fmt: skip


@functools.cache
def _asset(name: str) -> str:
    return resources.files("ohmtrail.reports.lesson").joinpath("data", name).read_text(encoding="utf-8")


def _held(value: object) -> str:
    """JSON that can stand inside a script element: nothing in it ends the element or opens a comment."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("</", "<\\/").replace("<!--", "\\u003c!--").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def lesson_page(lesson: Lesson) -> str:
    """Write a lesson as one HTML file.

    Parameters
    ----------
    lesson : Lesson
        The machine.

    Returns
    -------
    str
        It needs no other file, and its content policy lets none be fetched. Texts of the harness stand in
        it as JSON and as escaped SVG, never as markup of their own.
    """
    script = _asset("solve.js") + _asset("meter.js") + _asset("labels.js") + _asset("show.js")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    policy = f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; font-src data:; img-src data:"
    pictures = {name: {"svg": item.svg, "points": {key: [round(x, 1), round(y, 1)] for key, (x, y) in item.points.items()}} for name, item in lesson.pictures.items()}
    blocks = "".join(f'<script type="application/json" id="{name}">{_held(value)}</script>' for name, value in (("data", lesson_data(lesson)),))
    drawn = "".join(f'<script type="application/json" data-picture="{escape(name)}">{_held(value)}</script>' for name, value in pictures.items())
    title = escape(lesson.harness.harness)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{policy}">'
        f'<meta name="viewport" content="width=device-width,initial-scale=1"><title>{title}: where the current runs</title>'
        f"<style>{font_css()}{LIVE_CSS}{_asset('show.css')}</style></head>"
        f"<body>{_asset('body.html')}{blocks}{drawn}<script>{script}</script></body></html>\n"
    )


def lesson_data(lesson: Lesson) -> Json:
    """Give everything but the pictures as plain data.

    Parameters
    ----------
    lesson : Lesson
        The machine.

    Returns
    -------
    dict
        The circuit of `circuit_data`, with names, walks, faults, cautions and bounds.
    """
    harness, network = lesson.harness, lesson.electrics.network
    made = circuit_data(network)
    for item in made["functions"]:
        item |= _told(harness.functions[item["id"]], item["id"], lesson.walks[item["id"]])
    for item in made["switches"]:
        part = harness.parts[item["id"]]
        item |= {"called": part.called or item["id"].replace("-", " ")}
    meter = Meter()
    return made | {
        "machine": harness.harness,
        "nominal": harness.supply.nominal,
        "battery": harness.has_battery,
        "terminals": [point for point in harness.terminals if point != FRAME],
        "leads": {name: {"from": lead.from_, "to": lead.to, "words": lead_title(name, lead)} for name, lead in harness.leads.items()},
        "parts": {name: {"kind": part.kind, "words": part_title(harness, Setting(), name)} for name, part in harness.parts.items() if not isinstance(part, Switch)}
        | {name: {"kind": "switch", "words": f"switch {name}" + (f" ({part.called})" if part.called else "")} for name, part in harness.parts.items() if isinstance(part, Switch)},
        "faults": [_fault(lesson, number) for number in range(len(lesson.faults))],
        "flexes": {place: _called(harness, place) for place in dict.fromkeys(item.fault.moves_at for item in lesson.faults) if place},
        "meter": _meter(meter, lesson.electrics),
        "bounds": {
            "live_v": LIVE_V,
            "shown_a": SHOWN_A,
            "bright": levels.BRIGHT,
            "glows": levels.GLOWS,
            "runs": levels.RUNS,
            "runs_poorly": levels.RUNS_POORLY,
        },
        "cautions": {item.id: item.text for item in all_cautions()},
        "careful": _careful(harness),
        "never": sorted(shunned(lesson.electrics.network, meter, Setting(engine="running"))),
        "who": caution("who-decides").text,
    }


def _told(function: Function, name: str, walks: tuple[Walk, ...]) -> Json:
    """A function's name and its walks."""
    called = function.called or name.replace("-", " ")
    ways = [
        {
            "words": walk.words,
            "regime": walk.regime,
            "steps": [
                {"element": step.element, "branches": list(step.branches), "start": step.start, "end": step.end, "words": step.words, "load": step.load}
                for step in walk.steps
            ],
        }
        for walk in walks
    ]
    return {"called": called[:1].upper() + called[1:], "walks": ways}


def _called(harness: Harness, place: str) -> str:
    return harness.places[place].called or place.replace("-", " ")


def _meter(meter: Meter, electrics: Electrics) -> Json:
    """What the meter of the page is, and the bounds of what it says in words."""
    return {
        "input_ohm": meter.input_ohm,
        "top_ohm": meter.top_ohm,
        "lead_ohm": meter.lead_ohm,
        "beeper_ohm": meter.beeper_ohm,
        "beeper_least_ohm": meter.beeper_least_ohm,
        "beeper_most_ohm": meter.beeper_most_ohm,
        "lamp_w": meter.test_lamp_w,
        "straight": sorted(electrics.network.node_index[point] for point in electrics.fed_straight),
        "lamp_bright": LAMP_BRIGHT,
        "lamp_out": LAMP_OUT,
        "flickers_by": FLICKERS_BY,
        "knee_ohm": OHM_KNEE,
        "dwell": DWELL,
        "breakers": [{"id": name, "closed": closed, "open": gap} for name, (closed, gap) in breakers_of(electrics.harness).items()],
    }


def _fault(lesson: Lesson, number: int) -> Json:
    planted, harness = lesson.faults[number], lesson.harness
    fault = planted.fault
    owner = harness.lead_ends.get(fault.element, (fault.element, ""))[0]
    if owner not in harness.leads and owner not in harness.parts:
        owner = owner.rpartition(".")[0]
    ohms = f" ({show(planted.severity, 'ohm')})" if planted.severity and fault.kind not in ("flat", "turns") else ""
    made = {"id": fault.id, "words": fault.words + ohms, "element": fault.element, "owner": owner, "changes": fault_data(lesson.electrics.network, planted)}
    return made | ({"moves": fault.moves_at} if fault.moves_at else {})


def _careful(harness: Harness) -> Json:
    """Range and engine -> cautions that always apply, and those of points that need more."""
    found: Json = {}
    for quantity, engine in _RANGES:
        setting = Setting(engine=engine, battery=quantity not in ("ohms", "beep"))
        sets = {point: _cautions(harness, quantity, point, setting) for point in harness.terminals if point != FRAME}
        common = [name for name in next(iter(sets.values()), ()) if all(name in other for other in sets.values())]
        more = {point: [name for name in names if name not in common] for point, names in sets.items()}
        found[f"{quantity} {engine}"] = {"all": common, "at": {point: names for point, names in more.items() if names}}
    return found


def _cautions(harness: Harness, quantity: str, point: str, setting: Setting) -> tuple[str, ...]:
    step = Step("measure", setting, quantity=quantity, red=point, black=FRAME)  # type: ignore[arg-type]  # one of _RANGES
    return tuple(item.id for item in cautions_for(harness, step))
