"""The path of one function."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import networkx as nx

from ohmtrail.circuit import Electrics, Network, Setting, function_setting
from ohmtrail.circuit.draws import nominal
from ohmtrail.drawing.anchors import anchors_of
from ohmtrail.drawing.canvas import Canvas
from ohmtrail.drawing.cells import Cell, Look, used
from ohmtrail.drawing.choose import Chosen, choose_path
from ohmtrail.drawing.elements import elements_of, looks_of
from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.items import item_at
from ohmtrail.drawing.layout import HEAD_SIZE, HOW_SIZE, PAD, PITCH, Layout, lay_out
from ohmtrail.drawing.lead_words import lead_lines, lead_title
from ohmtrail.drawing.legend import Entry, entries_of, lay_legend
from ohmtrail.drawing.marks import HATCH, MARK_CSS, place_marks
from ohmtrail.drawing.states import States, lead_states, passes, pulled_contacts
from ohmtrail.drawing.style import CSS
from ohmtrail.drawing.svg import document, group, rect, text_element
from ohmtrail.drawing.symbols import bolt_shapes, cell_box, cell_words, draw_symbol
from ohmtrail.drawing.text import Text, wrapped
from ohmtrail.drawing.touch import touch_layer
from ohmtrail.drawing.wording import name_of, part_title, value_of
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness.parts import Switch

__all__ = ["Scene", "draw_path", "finish", "nominal_electrics", "paint", "scene_of"]

MARGIN, TITLE, EDGE = 20.0, 56.0, 6.0


def nominal_electrics(harness: Harness) -> Electrics:
    """Give the electricity of the nominal machine alone.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    Electrics
        Draw 0 and no other.
    """
    return Electrics(harness, machines=[nominal(Network.of(harness).branches)])


@dataclass(frozen=True)
class Scene:
    """Everything that is known before the first stroke.

    Attributes
    ----------
    harness : Harness
        The machine.
    setting : Setting
        Its state.
    chosen : Chosen
        What is drawn.
    states : States
        What the leads carry.
    look : Look
        Words.
    layout : Layout
        Coordinates.
    pulled : frozenset of str
        Relay contacts that conduct.
    """

    harness: Harness
    setting: Setting
    chosen: Chosen
    states: States
    look: Look
    layout: Layout
    pulled: frozenset[str]


def scene_of(
    electrics: Electrics, chosen: Chosen, setting: Setting, *, live: bool = True, declared: bool = False, pitch: float = PITCH, blank: bool = False
) -> Scene:
    """Work out states, words and coordinates.

    Parameters
    ----------
    electrics : Electrics
        The machine.
    chosen : Chosen
        What to draw.
    setting : Setting
        State of the machine.
    live : bool
        Whether volts and amps are worked out and shown.
    declared : bool
        Whether places keep the order of the file.
    pitch : float
        Distance of two tracks, px.
    blank : bool
        Whether every place of volts and amps is filled with the widest figure, for a page that writes
        them anew.

    Returns
    -------
    Scene
        Ready to paint. The room for volts and amps is always held, so that a setting moves nothing.
    """
    harness = electrics.harness
    pulled = pulled_contacts(electrics, setting) if live else frozenset()
    states = lead_states(electrics, setting, chosen.leads, pulled) if live else States({}, {}, {})
    names, labels, held = {}, {}, {}
    for lead_id in sorted(chosen.leads):
        lead = harness.leads[lead_id]
        labels[lead_id] = (*lead_lines(lead_id, lead), "888 mA" if live and not passes(harness, lead_id) else "")
        for end in (lead.from_, lead.to):
            item, part = item_at(harness, end, lead_id)
            names[item] = (name_of(harness, part), _widest_value(harness, setting, part))
            if live and part != FRAME and harness.parts[part].kind not in ("connector", "splice", "earth", "metal"):
                held[lead_id, item] = "88.8 V ~"
    for part in chosen.parts:
        names.setdefault(part, (name_of(harness, part), _widest_value(harness, setting, part)))
    layout = lay_out(
        harness, chosen, Look(names, labels, held), lambda item: elements_of(harness, setting, item, pulled), declared=declared, pitch=pitch
    )
    turned = {wire.lead: wire.turned for wire in layout.wires}
    upper = {wire.lead: wire.upper for wire in layout.wires}
    volts = {
        (lead, upper[lead]): pair[1 if turned[lead] else 0] for lead, pair in states.volts.items() if (lead, upper[lead]) in held
    }
    shown = {item: (name, value_of(harness, setting, layout.cells[item].item.part if item in layout.cells else item)) for item, (name, _) in names.items()}
    written = {lead: (*words[:2], states.amps.get(lead, "")) for lead, words in labels.items()}
    look = Look(shown, labels, held) if blank else Look(shown, written, volts)
    return Scene(harness, setting, chosen, states, look, layout, pulled)


def _widest_value(harness: Harness, setting: Setting, part: str) -> str:
    """The longest value a part can show, so that turning a switch moves nothing."""
    thing = harness.parts.get(part)
    if isinstance(thing, Switch):
        return max((f"at {position}" for position in thing.positions), key=len)
    if thing is not None and thing.kind in ("lamp", "fuse"):
        return f"{value_of(harness, Setting(), part)} · taken out"
    if thing is not None and thing.kind == "connector":
        return ""
    return value_of(harness, setting, part)


def _nets(scene: Scene) -> dict[str, str]:
    """Lead -> the net it belongs to: leads that plugs and splices join."""
    nets = nx.utils.UnionFind(f"lead {lead}" for lead in sorted(scene.chosen.leads))
    for lead in sorted(scene.chosen.leads):
        ends = scene.harness.leads[lead]
        for end in (ends.from_, ends.to):
            part = scene.harness.terminals[end][0]
            joins = part != FRAME and scene.harness.parts[part].kind == "connector"
            if part != FRAME and scene.harness.parts[part].kind not in ("earth", "metal"):
                nets.union(f"lead {lead}", end[:-1] if joins else end)
    number = {root: f"n{index}" for index, root in enumerate(dict.fromkeys(nets[f"lead {lead}"] for lead in sorted(scene.chosen.leads)))}
    return {lead: number[nets[f"lead {lead}"]] for lead in scene.chosen.leads}


def paint(scene: Scene, kinds: Mapping[str, str] | None = None, *, every: bool = False) -> Canvas:
    """Draw a scene at the origin of its columns.

    Parameters
    ----------
    scene : Scene
        What to draw.
    kinds : mapping of str to str, optional
        Lead or part -> a class name more.
    every : bool
        Whether switches and relays are drawn in each of their states, one over the other, for a page
        that shows one of them.

    Returns
    -------
    Canvas
        Columns, leads and symbols, shifted to the picture's margins.
    """
    canvas, more, nets = Canvas(), kinds or {}, _nets(scene)
    layout, harness = scene.layout, scene.harness
    for index, column in enumerate(layout.columns):
        left = MARGIN + column.left
        place = harness.places[column.place]
        head = [Text(left + PAD, TITLE + 22, place.called or column.place.replace("-", " "), HEAD_SIZE, bold=True)]
        head += [Text(left + PAD, TITLE + 38 + 14 * number, words, HOW_SIZE, kind="mut") for number, words in enumerate(column.how)]
        band = rect(left, TITLE, column.right - column.left, layout.height, r=7, kind=f"band{index % 2}")
        told = f"place {column.place}: {place.reach:g} minutes" + (f", {place.how}" if place.how else "")
        canvas.ground.append(group([band, *(canvas.text(text) for text in head)], title=told, class_="place", data_id=column.place))
    for wire in layout.wires:
        lead = harness.leads[wire.lead]
        route = [(x + MARGIN, y + TITLE) for x, y in layout.routes[wire.lead]]
        title = lead_title(wire.lead, lead, scene.states.words(wire.lead))
        state = scene.states.kind.get(wire.lead, "")
        canvas.lead(wire.lead, lead.colour, route, title=title, state=state, kind=more.get(wire.lead, ""), net=nets[wire.lead], ends=f"{wire.upper} {wire.lower}")
    for name, (x, y) in layout.at.items():
        cell = layout.cells[name]
        at = (x + MARGIN, y + TITLE)
        part = cell.item.part
        canvas.symbol(
            name,
            [(_looks(harness, cell, at) if every else draw_symbol(cell, *at), cell_box(cell, *at)), *bolt_shapes(cell, *at)],
            cell_words(cell, scene.look, *at),
            title=part_title(harness, scene.setting, part),
            kind=f"{cell.item.kind} {more.get(part, '')}".strip(),
        )
    return canvas


def _looks(harness: Harness, cell: Cell, at: tuple[float, float]) -> str:
    """A symbol in each of its states, a group for each."""
    looks = looks_of(harness, cell.item.id)
    if not looks:
        return draw_symbol(cell, *at)
    drawn = {name: draw_symbol(replace(cell, elements=used(cell.item, elements)), *at) for name, elements in looks.items()}
    return "".join(group([body], class_="look", data_look=name) for name, body in drawn.items())


def finish(scene: Scene, canvas: Canvas, lights: Highlights, *, title: str, words: str, legend_more: Sequence[Entry] = (), tappable: bool = False) -> str:
    """Write a painted scene with its title, marks, sentence and legend.

    Parameters
    ----------
    scene : Scene
        What is laid out.
    canvas : Canvas
        The painted scene; the marks are added to it.
    lights : Highlights
        Marks of a job.
    title : str
        What the picture is.
    words : str
        The state that it shows.
    legend_more : sequence of Entry
        Entries beside those of the marks.
    tappable : bool
        Whether every terminal has a disc that a finger can choose.

    Returns
    -------
    str
        An SVG file.
    """
    width, bottom = scene.layout.width + 2 * MARGIN, scene.layout.height + TITLE
    head = Text(MARGIN, 34, title, 20, bold=True)
    side = Text(MARGIN + head.width + 14, 34, words, 12, kind="mut")
    width = max(width, side.box[2] + MARGIN)
    canvas.ground += [canvas.text(head), canvas.text(side)]
    anchors = anchors_of(scene.layout, MARGIN, TITLE)
    left = place_marks(canvas, anchors, lights, bounds=(EDGE, TITLE, width - EDGE, bottom))
    y = bottom + 12.0
    if lights.next is not None and lights.next.sentence:
        lines = wrapped(lights.next.sentence, 14, width - 2 * MARGIN - 54)
        body = [text_element(Text(MARGIN, y + 16, "Next", 14, bold=True))]
        body += [text_element(Text(MARGIN + 54, y + 16 + 20 * number, line, 14)) for number, line in enumerate(lines)]
        canvas.marks.append(group(body, title="next reading", class_="sentence", data_id="next"))
        y += 20.0 * len(lines) + 12.0
    for phrase in left.told():
        canvas.marks.append(text_element(Text(MARGIN, y + 12, phrase, 11, kind="mut")))
        y += 18.0
    entries = entries_of(scene.states.kind.values(), lights, volts=bool(scene.states.kind))
    legend, y = lay_legend([*entries, *legend_more], x=MARGIN, y=y, width=width - 2 * MARGIN)
    return document(
        [HATCH, canvas.body(), legend, touch_layer(scene.harness, anchors) if tappable else ""], width=width, height=y + 14.0, title=f"{title}, {scene.harness.harness}", style=CSS + MARK_CSS, description=words
    )


def draw_path(
    harness: Harness,
    function: str,
    setting: Setting | None = None,
    *,
    highlights: Highlights | None = None,
    electrics: Electrics | None = None,
    declared: bool = False,
    tappable: bool = False,
) -> str:
    """Draw the path of one function.

    Parameters
    ----------
    harness : Harness
        The machine.
    function : str
        Id of the function.
    setting : Setting, optional
        State of the machine; the function's own where not given.
    highlights : Highlights, optional
        Marks of a job; they move nothing.
    electrics : Electrics, optional
        Electricity of the same harness, to save working it out again.
    declared : bool
        Whether the places keep the order of the file, instead of the one with the shortest leads.
    tappable : bool
        Whether every terminal has a disc that a finger can choose.

    Returns
    -------
    str
        An SVG file.

    Raises
    ------
    UnknownName
        No such function.
    MissingTool
        The layout engine is not installed.
    """
    electrics = electrics or nominal_electrics(harness)
    chosen = choose_path(electrics, function)
    called = harness.functions[function]
    state = function_setting(harness, called) if setting is None else setting
    scene = scene_of(electrics, chosen, state, declared=declared)
    name = called.called or function.replace("-", " ")
    words = " · ".join((harness.harness, *state.words()))
    return finish(scene, paint(scene), highlights or Highlights(), title=name[:1].upper() + name[1:], words=words, tappable=tappable)
