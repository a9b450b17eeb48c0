"""Ladder, whole harness, book, before and after, graph, page."""

import os
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest

from ohmtrail.circuit import Electrics, function_setting
from ohmtrail.drawing import (
    PAPERS,
    Highlights,
    NextMark,
    ReadingMark,
    SuspectMark,
    as_page,
    draw_book,
    draw_graph,
    draw_ladder,
    draw_union,
    draw_whole,
)
from ohmtrail.drawing.choose import choose_path
from ohmtrail.drawing.ladder import ladder_of
from ohmtrail.drawing.paths import scene_of
from ohmtrail.errors import UnknownName
from ohmtrail.harness import Harness, Lead
from ohmtrail.harness.parts import Fuse

JobOn = Callable[[Harness, list[str], list[str], int], Highlights]
Ids = Callable[[str, str], list[str]]
Faults = Callable[[str], list[str]]
Machine = Callable[[str], tuple[Harness, Electrics]]
MadeUp = Callable[..., Harness]
Counted = Callable[[str], tuple[int, int]]

LIGHTS = Highlights(
    readings=(ReadingMark(1, "battery.+", "battery.-", "12.4 V"),),
    suspects=(SuspectMark(("lantern-2",), "61 %", "high resistance"),),
    ruled_out=("battery-fuse",),
    next=NextMark("lantern.58", "frame", "Volts, red on the lantern, black on the leg."),
)


def _title_of(harness: Harness, function: str) -> str:
    """Title of a picture, in full."""
    name = harness.functions[function].called or function.replace("-", " ")
    return name[:1].upper() + name[1:]


def test_a_ladder_has_nothing_on_anything_else(
    case: tuple[str, str], machine: Machine, faults: Faults, job_on: JobOn, ids: Ids
) -> None:
    """Every function of every example machine at the width of a phone, bare and with a random job on it."""
    harness, electrics = machine(case[0])
    svg = draw_ladder(harness, case[1], electrics=electrics)
    assert faults(svg) == []
    assert 'width="390"' in svg
    assert _title_of(harness, case[1]) in " ".join(element.text or "" for element in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"))
    leads = [name for name in ids(svg, "lead") if name in harness.leads]
    if leads:
        lights = job_on(harness, leads, [name for name in ids(svg, "part") if name in harness.parts], sum(map(ord, case[1])))
        assert faults(draw_ladder(harness, case[1], highlights=lights, electrics=electrics)) == []


@pytest.mark.parametrize("seed", range(40))
def test_a_random_ladder_has_nothing_on_anything_else(seed: int, made_up: MadeUp, faults: Faults, job_on: JobOn) -> None:
    """Forty made-up machines, bare and with a random job."""
    harness = made_up(seed)
    assert faults(draw_ladder(harness, "all")) == []
    assert faults(draw_ladder(harness, "all", highlights=job_on(harness, list(harness.leads), list(harness.parts), seed))) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40, 600))
def test_a_campaign_of_random_ladders(seed: int, made_up: MadeUp, faults: Faults, job_on: JobOn) -> None:
    """The same for 560 more."""
    test_a_random_ladder_has_nothing_on_anything_else(seed, made_up, faults, job_on)


def test_a_job_on_a_ladder_is_listed_in_words(machine: Machine, faults: Faults) -> None:
    """Discs in the picture, sentences under it."""
    harness, electrics = machine("outboard")
    svg = draw_ladder(harness, "lantern-light", highlights=LIGHTS, electrics=electrics)
    assert faults(svg) == []
    listed = svg.partition('class="listed"')[2]
    assert all(words in listed for words in ("Volts, red on the lantern", "61 %", "high resistance", "12.4 V"))


def test_the_whole_harness_has_nothing_on_anything_else(machine_name: str, machine: Machine, faults: Faults) -> None:
    """Every lead and every part, nothing on anything."""
    harness, electrics = machine(machine_name)
    svg = draw_whole(harness, electrics=electrics)
    assert faults(svg) == []
    assert set(re.findall(r'class="lead[^"]*" data-id="([^"]+)"', svg)) == set(harness.leads)


def test_the_whole_harness_of_110_leads_takes_less_than_a_second(machine: Machine, counted: Counted, paced: Callable[[float], float]) -> None:
    """And crosses no more than the trial's 84 (H115, columns per place)."""
    harness, electrics = machine("trail-motorcycle")
    assert len(harness.leads) >= 110
    start = os.times()
    svg = draw_whole(harness, electrics=electrics)
    assert sum(os.times()[:4]) - sum(start[:4]) < paced(1.0)  # processor time, the layout engine's included
    assert counted(svg)[0] <= 84


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_book_has_every_lead_on_a_page(paper: str, machine: Machine) -> None:
    """One page per circuit, and the leads of no function on the last."""
    harness, electrics = machine("outboard")
    html = draw_book(harness, paper=paper, electrics=electrics)
    assert set(harness.leads) <= set(re.findall(r'data-id="([^"]+)"', html))
    assert html.count("@font-face") == 2
    assert "Also on other pages" in html
    assert ("A4" if paper == "a4" else "letter") in html


def test_a_book_on_unknown_paper_names_the_known(machine: Machine) -> None:
    """A4 and Letter are there."""
    with pytest.raises(UnknownName, match="a4, letter"):
        draw_book(machine("outboard")[0], paper="folio")


def _fused(harness: Harness) -> Harness:
    """The outboard with a lantern fuse, a thicker feed, and one stop lead gone."""
    parts, leads = dict(harness.parts), dict(harness.leads)
    parts["lantern-fuse"] = Fuse(kind="fuse", at="panel", rating="5 A")  # type: ignore[arg-type]  # read from text
    leads["lantern-1"] = leads["lantern-1"].model_copy(update={"to": "lantern-fuse.1"})
    leads["lantern-0"] = Lead.model_validate({"from": "lantern-fuse.2", "to": "lantern-switch.30", "colour": "RD", "size": "1 mm2"})
    leads["feed-2"] = leads["feed-2"].model_copy(update={"size": 4.0})
    del leads["stop-5"]
    return Harness(harness=harness.harness, places=harness.places, looms=harness.looms, parts=parts, leads=leads, functions=harness.functions)


def test_before_and_after_stand_in_one_picture(machine: Machine, faults: Faults) -> None:
    """New, removed, rerouted and changed leads, each with its word."""
    old = machine("outboard")[0]
    svg = draw_union(old, _fused(old))
    assert faults(svg) == []
    assert 'class="lead live fresh" data-id="lantern-0"' in svg
    assert 'class="lead live gone" data-id="stop-5"' in svg
    assert 'class="lead live gone" data-id="lantern-1-before"' in svg
    assert 'class="lead live other" data-id="feed-2"' in svg
    assert "size 2.5 → 4 mm²" in svg


def test_before_and_after_of_one_function(machine: Machine, faults: Faults) -> None:
    """Only what the lantern works through, before or after."""
    old = machine("outboard")[0]
    svg = draw_union(old, _fused(old), function="lantern-light")
    assert faults(svg) == []
    assert 'data-id="lantern-fuse"' in svg
    assert 'data-id="gen-ignition"' not in svg


def test_a_harness_against_itself_marks_nothing(machine: Machine) -> None:
    """No change, no mark."""
    harness = machine("outboard")[0]
    svg = draw_union(harness, harness)
    assert not re.search(r'class="lead live (fresh|gone|other)"', svg)


def test_the_bare_graph_has_every_lead_and_terminal(machine: Machine) -> None:
    """Graphviz's own drawing of the topology."""
    harness = machine("outboard")[0]
    words = {element.text for element in ET.fromstring(draw_graph(harness)).iter("{http://www.w3.org/2000/svg}text")}
    assert set(harness.leads) <= words
    assert set(harness.terminals) <= words


def test_a_page_fetches_nothing(machine: Machine) -> None:
    """Everything is in the one file, and its policy forbids the rest."""
    harness, electrics = machine("outboard")
    html = as_page(draw_whole(harness, electrics=electrics), title=harness.harness)
    assert "default-src 'none'" in html
    assert not re.search(r"(?:src|href)=\"https?:", html)


def test_a_ladder_joins_every_lead_to_its_own_pole(case: tuple[str, str], machine: Machine) -> None:
    """No picture shows a battery or a winding shorted: what is on one pole leaves at that end of the symbol."""
    harness, electrics = machine(case[0])
    state = function_setting(harness, harness.functions[case[1]])
    scene = scene_of(electrics, choose_path(electrics, case[1]), state)
    ladder = ladder_of(scene)
    for name, part in harness.parts.items():
        item = scene.layout.cells[name].item if name in scene.layout.cells else None
        if item is None or {stub.pin for stub in item.tops} & {stub.pin for stub in item.bottoms}:
            # not drawn, or a box: what comes in at a pole and goes on from it does not pass through
            continue
        poles = {at: ladder.points[f"{name}.{at}"][1] for at in part.terminals() if f"{name}.{at}" in ladder.points}
        if part.kind not in ("battery", "winding") or len(set(poles.values())) != 2:
            continue
        middle = sum(poles.values()) / 2.0
        for lead_id, route in ladder.corners.items():
            lead = harness.leads[lead_id]
            for at, y in poles.items():
                if f"{name}.{at}" in (lead.from_, lead.to):
                    near = min((route[0][1], route[-1][1]), key=lambda end: abs(end - middle))
                    assert (near < middle) == (y < middle), (name, at, lead_id)


def test_a_battery_that_feeds_a_ladder_stands_on_its_minus(machine: Machine) -> None:
    """Plus leads down the path, minus goes round to the frame."""
    harness, electrics = machine("outboard")
    state = function_setting(harness, harness.functions["lantern-light"])
    ladder = ladder_of(scene_of(electrics, choose_path(electrics, "lantern-light"), state))
    assert ladder.points["battery.-"][1] < ladder.points["battery.+"][1]
