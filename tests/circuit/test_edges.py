"""Values at the edge of what a machine can have: finite and right against exact fractions, or refused in words."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.circuit.test_exact import Exact, Web, _as_web

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.circuit.branches import UPTAKE_RATIO, Branch
from ohmtrail.circuit.laws import CHARGED_V
from ohmtrail.errors import CircuitError, OhmtrailError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree

#: what may be lost: a millivolt or a thousandth, whichever is more
NEAR_V, NEAR_SHARE = 1e-3, 1e-3
#: a machine without an earth hangs by its insulation; beside a microohm numbers of nineteen digits tell its volts
#: against the frame to 12.6 V x 1e6 S x 5e-20 / 1e-9 S a rounding
HANGING_V = 5e-3
#: the bend where a battery begins to be charged is rounded by 0.1 mV x ln 2, forty times of which shows
CHARGED_NEAR_V = 8e-3
SPLICES = 5
OHMS = ("0 Ω", "1 µΩ", "20 µΩ", "1 mΩ", "0.1 Ω", "1 Ω", "47 Ω", "4.7 kΩ", "100 kΩ", "1 MΩ", "1 GΩ")
POINTS = ["battery.+", "battery.-", "frame", *(f"s{i}" for i in range(SPLICES))]


@st.composite
def machines(draw: st.DrawFn) -> str:
    """Leads of any resistance between splices, batteries and the frame; loops, islands and all."""
    count = draw(st.integers(1, 9))
    batteries = draw(st.integers(1, 2))
    names = [*POINTS, *(["second.+", "second.-"] if batteries == 2 else [])]
    lines = []
    for index in range(count):
        one, two = draw(st.sampled_from(names)), draw(st.sampled_from(names))
        if one != two:
            lines.append(f"  w{index}: {{from: {one}, to: {two}, resistance: {draw(st.sampled_from(OHMS))}}}")
    if not lines:
        lines.append("  w: {from: battery.+, to: s0, resistance: 1 Ω}")
    earthed = draw(st.booleans())
    mounts = ', mounts: {"-": frame}' if earthed else ""
    ohm = draw(st.sampled_from(("0 Ω", "1 µΩ", "20 mΩ", "1 kΩ")))
    parts = [f"  battery: {{kind: battery, at: tray, volts: 12.6 V, resistance: {ohm}{mounts}}}"]
    if batteries == 2:
        parts.append("  second: {kind: battery, at: tray, volts: 6.3 V, resistance: 10 mΩ}")
    parts += [f"  s{i}: {{kind: splice, at: tray}}" for i in range(SPLICES)]
    places = "places: {tray: {reach: 1 min}}"
    return f"harness: edge\n{places}\nparts:\n" + "\n".join(parts) + "\nleads:\n" + "\n".join(lines) + "\n"


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(machines())
def test_any_values_are_solved_or_refused_in_words(text: str) -> None:
    """Every node is within a millivolt (five where nothing is earthed) or a thousandth of exact arithmetic."""
    solved_or_refused(text)


@pytest.mark.slow
@settings(max_examples=3000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(machines())
def test_many_values_are_solved_or_refused_in_words(text: str) -> None:
    """The same, three thousand machines: the figure of the campaign."""
    solved_or_refused(text)


def solved_or_refused(text: str) -> None:
    """Solve a machine, and hold every node against fractions; or be told in electrical words why there is no answer."""
    try:
        electrics = Electrics(parse_harness(read_tree(text, file="edge.yaml")), count=1)
        points = list(electrics.network.nodes)
        told = electrics.read("dc", Setting(), [(point, "frame") for point in points]).value[0, 0]
    except CircuitError as error:
        assert "no single answer" in str(error)
        return
    except OhmtrailError as error:
        assert "out of range" in str(error) or "quantity" in str(error)
        return
    assert np.isfinite(told).all()
    wanted, charged = _volts(electrics)
    near_v = CHARGED_NEAR_V if charged else NEAR_V if "mounts" in text else HANGING_V
    for point, value in zip(points, told, strict=True):
        assert math.isclose(value, wanted[point], rel_tol=NEAR_SHARE, abs_tol=near_v), (point, value, wanted[point])


def _volts(electrics: Electrics) -> tuple[dict[str, float], bool]:
    """Exact volts, and whether a battery is charged: then it has forty times its ohms, from 2 mV above its own volts on."""
    web, on_charge = _as_web(electrics, Setting()), set[str]()
    for _ in range(4):
        held = Web(tuple(_taking(branch) if branch.id in on_charge else branch for branch in web.branches))
        volts = Exact(held, electrics.network.nodes, True).volts()
        now = {b.id for b in web.branches if b.kind == "battery" and volts[b.a] - volts[b.b] > b.volts + CHARGED_V}
        if now == on_charge:
            break
        on_charge = now
    return volts, bool(on_charge)


def _taking(branch: Branch) -> Branch:
    """A battery on charge as a plain one: the straight line that its law follows beyond the bend."""
    return replace(branch, ohm=branch.ohm * UPTAKE_RATIO, volts=branch.volts - (UPTAKE_RATIO - 1.0) * CHARGED_V)


@pytest.mark.parametrize("kind", ["everything-open", "no-earth"])
def test_a_machine_that_joins_nothing(kind: str) -> None:
    """Nothing connected, or nothing on the frame: readings all the same, none of them volts."""
    mounts = ', mounts: {"-": frame}' if kind == "everything-open" else ""
    text = (
        "harness: bare\nplaces: {tray: {reach: 1 min}}\nparts:\n"
        f"  battery: {{kind: battery, at: tray, volts: 12.6 V{mounts}}}\n  s0: {{kind: splice, at: tray}}\n  s1: {{kind: splice, at: tray}}\n"
        "leads:\n  w: {from: s0, to: s1}\n"
    )
    electrics = Electrics(parse_harness(read_tree(text, file="bare.yaml")), count=1)
    volts = electrics.read("dc", Setting(), [("s0", "frame"), ("s0", "s1")]).value[0, 0]
    assert np.abs(volts).max() < 1e-6
    ohms = electrics.read("ohms", Setting(battery=False), [("s0", "frame"), ("s0", "s1")]).value[0, 0]
    assert ohms[0] > 1e6 and 0.0 < ohms[1] < 1.0
