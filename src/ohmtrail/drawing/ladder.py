"""The ladder: a function's path for a phone, one row per symbol and per lead in order of current."""

from __future__ import annotations

from dataclasses import dataclass, field

from ohmtrail.circuit import Electrics, Setting, function_setting
from ohmtrail.drawing.anchors import Anchors
from ohmtrail.drawing.canvas import Box, Canvas
from ohmtrail.drawing.choose import choose_path
from ohmtrail.drawing.elements import BOXES
from ohmtrail.drawing.glyphs import Glyph
from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.items import Item
from ohmtrail.drawing.lead_words import lead_title, size_words
from ohmtrail.drawing.legend import entries_of, lay_legend
from ohmtrail.drawing.marks import HATCH, MARK_CSS, listed, place_marks
from ohmtrail.drawing.paths import Scene, nominal_electrics, scene_of
from ohmtrail.drawing.rungs import Rung, rungs
from ohmtrail.drawing.style import CSS, screen_of
from ohmtrail.drawing.svg import document, group, num, path, rect
from ohmtrail.drawing.text import Text, measured, wrapped
from ohmtrail.drawing.touch import touch_layer
from ohmtrail.drawing.upright import BOX, far_pole, row_glyph, row_looks
from ohmtrail.drawing.wording import part_title
from ohmtrail.harness import Harness

__all__ = ["TOP", "WIDTH", "Ladder", "draw_ladder", "ladder_of"]

#: width of a phone's screen, px
WIDTH = 390.0
#: where the bands begin under a title of one line, px
TOP = 64.0
_EDGE, _FIRST, _LANE, _FAN = 8.0, 36.0, 26.0, 13.0
_NAME, _SMALL = 13.5, 12.0
_HEAD, _LEAD_ROW = 22.0, 22.0


@dataclass
class Ladder:
    """What is drawn so far, from the top down.

    Attributes
    ----------
    scene : Scene
        What is drawn.
    lanes : dict of str to int
        Lead -> lane, 0 at the left.
    text_x : float
        Where words begin, px.
    every : bool
        Whether switches and relays are drawn in each of their states.
    canvas : Canvas
        The picture.
    y : float
        How far it reaches, px.
    corners : dict of str to list of Point
        Lead -> its corners.
    bands : list of (str, float)
        Places, and where each begins.
    points, shapes, cores, frames
        Where terminals, symbols, their middles and earths stand.
    """

    scene: Scene
    lanes: dict[str, int]
    text_x: float
    every: bool = False
    canvas: Canvas = field(default_factory=Canvas)
    y: float = 0.0
    corners: dict[str, list[tuple[float, float]]] = field(default_factory=dict)
    bands: list[tuple[str, float]] = field(default_factory=list)
    points: dict[str, tuple[float, float]] = field(default_factory=dict)
    shapes: dict[str, list[Box]] = field(default_factory=dict)
    cores: dict[str, tuple[Box, ...]] = field(default_factory=dict)
    frames: list[tuple[float, float]] = field(default_factory=list)


def draw_ladder(
    harness: Harness,
    function: str,
    setting: Setting | None = None,
    *,
    highlights: Highlights | None = None,
    electrics: Electrics | None = None,
    tappable: bool = False,
) -> str:
    """Draw the path of one function as a ladder, 390 px wide.

    Parameters
    ----------
    harness : Harness
        The machine.
    function : str
        Id of the function.
    setting : Setting, optional
        State of the machine; the function's own where not given.
    highlights : Highlights, optional
        Marks of a job: discs in the picture, their words in a list under it.
    electrics : Electrics, optional
        Electricity of the same harness, to save working it out again.
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
    called = harness.functions.get(function)
    chosen = choose_path(electrics, function)
    assert called is not None
    state = function_setting(harness, called) if setting is None else setting
    name = called.called or function.replace("-", " ")
    title = name[:1].upper() + name[1:]
    head, top = _head(title, " · ".join((harness.harness, *state.words())))
    ladder = ladder_of(scene_of(electrics, chosen, state), top=top)
    ladder.canvas.ground += [ladder.canvas.text(line) for line in head]
    return _finished(ladder, highlights or Highlights(), title, top, tappable=tappable)


def _head(title: str, words: str) -> tuple[list[Text], float]:
    """Title and state in full, and where the first band begins: room for two lines of state is always held."""
    room = WIDTH - 2 * _EDGE - 8
    heads, lines = wrapped(title, 17, room, bold=True), wrapped(words, 11.5, room)
    below = 20.0 + 21.0 * len(heads)
    found = [Text(_EDGE + 4, 24 + 21 * number, line, 17, bold=True) for number, line in enumerate(heads)]
    found += [Text(_EDGE + 4, below + 14 * number, line, 11.5, kind="mut") for number, line in enumerate(lines)]
    return found, below + 14 * max(len(lines), 2) + TOP - 69.0


def ladder_of(scene: Scene, *, every: bool = False, top: float = TOP) -> Ladder:
    """Draw a scene as a ladder, without title and legend.

    Parameters
    ----------
    scene : Scene
        What to draw.
    every : bool
        Whether switches and relays are drawn in each of their states, one over the other.
    top : float
        Where the first band begins, px.

    Returns
    -------
    Ladder
        With its canvas.
    """
    items = {name: cell.item for name, cell in scene.layout.cells.items()}
    steps, lanes = rungs(tuple(items), scene.layout.wires)
    count = max([*lanes.values(), *(step.lane for step in steps)], default=0) + 1
    ladder = Ladder(scene, lanes, _FIRST + _LANE * count + 22, every, y=top)
    for step in steps:
        _rung(ladder, step, items[step.item])
    _leads(ladder)
    _bands(ladder)
    return ladder


def _bands(ladder: Ladder) -> None:
    """A band for each place, behind its rows."""
    canvas = ladder.canvas
    ends = [y for _, y in ladder.bands[1:]] + [ladder.y + 6.0]
    for number, ((place, top), end) in enumerate(zip(ladder.bands, ends, strict=True)):
        item = ladder.scene.harness.places[place]
        right = Text(WIDTH - _EDGE - 8, top + 17, _heading(ladder, place), 12, "end", bold=True)
        band = rect(_EDGE, top, WIDTH - 2 * _EDGE, end - top - 4, r=7, kind=f"band{number % 2}")
        told = f"place {place}: {item.reach:g} minutes" + (f", {item.how}" if item.how else "")
        canvas.ground.append(group([band, canvas.text(right)], title=told, class_="place", data_id=f"{place}-{number}"))


def _x(lane: int) -> float:
    return _FIRST + _LANE * lane


def _rung(ladder: Ladder, step: Rung, item: Item) -> None:
    """One symbol with its row, then a row for each lead that leaves it."""
    if not ladder.bands or ladder.bands[-1][0] != item.place:
        if ladder.bands:
            ladder.y += 4.0
        ladder.bands.append((item.place, ladder.y))
        ladder.y += 4.0 if _shares_line(ladder, item) else _HEAD
    ladder.y += 8.0
    top = ladder.y
    own = {lead for lead in (*step.into, *step.out) if ladder.lanes[lead] == step.lane}
    far = far_pole(ladder.scene, item, own)
    x, drawn = _x(step.lane), row_glyph(ladder.scene, item, far=far)
    turned = {stub.lead for stub in (*item.tops, *item.bottoms) if far and stub.pin == far}
    sides, begun = ([lead for lead in leads if lead not in own | turned] for leads in (step.into, step.out))
    over, under = ([lead for lead in leads if lead in turned] for leads in (step.out, step.into))
    head, foot = _FAN * (len(sides) + len(over)), _FAN * (len(begun) + len(under))
    bottom = top + head + drawn.height + foot
    half, off = (12.5, 10.0) if drawn is BOX else (0.0, 4.0)
    for number, lead in enumerate(sides):
        level, lane = top + off + number * _FAN, _x(ladder.lanes[lead])
        ladder.corners[lead] += [(lane, level), (x + (half if lane > x else -half), level)]
    for lead in step.into:
        if lead not in sides and lead not in under:
            ladder.corners[lead].append((x, top))
    for lead in step.out:
        ladder.corners[lead] = [(x, bottom)]
    for number, lead in enumerate(over, len(sides)):
        level, lane = top + off + number * _FAN, _x(ladder.lanes[lead])
        ladder.corners[lead] = [(x, level), (lane, level)]
    for number, lead in enumerate(under, len(begun)):
        level, lane = bottom - off - number * _FAN, _x(ladder.lanes[lead])
        ladder.corners[lead] += [(lane, level), (x, level)]
    for number, lead in enumerate(reversed(begun)):
        level, lane = bottom - off - number * _FAN, _x(ladder.lanes[lead])
        ladder.corners[lead] = [(x + (half if lane > x else -half), level), (lane, level)]
    _symbol(ladder, item, drawn, (x, top), (head, foot), far)
    _, value = ladder.scene.look.names.get(item.id, ("", ""))
    ladder.y = top + head + drawn.height / 2 + (18.0 if value or _pins(item, top=True) or _pins(item, top=False) else 9.0)
    _bolts(ladder, item)
    for lead in step.out:
        _lead_row(ladder, lead, item)
    ladder.y = max(ladder.y, bottom + 6.0) + 2.0


def _heading(ladder: Ladder, place: str) -> str:
    item = ladder.scene.harness.places[place]
    return _fitted(f"{item.called or place.replace('-', ' ')} · {item.reach:g} min", 12, WIDTH - ladder.text_x - 16, bold=True)


def _shares_line(ladder: Ladder, item: Item) -> bool:
    """Whether the place's name fits beside the symbol's."""
    name = measured(ladder.scene.look.names.get(item.id, ("", ""))[0], _NAME, bold=True)
    heading = measured(_heading(ladder, item.place), 12, bold=True)
    return ladder.text_x + name + 24 + heading < WIDTH - _EDGE - 8


def _symbol(ladder: Ladder, item: Item, drawn: Glyph, at: tuple[float, float], fans: tuple[float, float], far: str) -> None:
    """Draw a row's symbol, its bars for leads from other lanes, and its words."""
    scene, (x, top), (head, foot) = ladder.scene, at, fans
    start, end = top + head, top + head + drawn.height
    bottom, wide = end + foot, max(drawn.left, drawn.right, 5.0)
    body = row_looks(scene, item, far) if ladder.every else ""
    shapes = [(f'<g transform="translate({num(x)} {num(start)})">{body or drawn.body}</g>', (x - wide - 1.4, start - 1.4, x + wide + 1.4, end + 1.4))]
    if drawn is BOX:
        box = rect(x - 12, top + 5, 24, bottom - top - 10, r=4, kind="w") + path(f"M{num(x)} {num(top)}V{num(top + 5)}M{num(x)} {num(bottom - 5)}V{num(bottom)}", kind="s")
        shapes = [(box, (x - 13.5, top - 1.4, x + 13.5, bottom + 1.4))]
    for high, low in ((top, start), (end, bottom)):
        if high < low and drawn is not BOX:
            shapes.append((path(f"M{num(x)} {num(high)}V{num(low)}", kind="s k"), (x - 2, high - 1.4, x + 2, low + 1.4)))
    if item.kind not in ("splice", "earth", "metal", "frame"):
        ends = [y for stubs, y in ((item.tops, top), (item.bottoms, bottom)) if stubs or far]
        shapes += [(f'<circle cx="{num(x)}" cy="{num(y)}" r="3.600" class="w"/>', (x - 5, y - 5, x + 5, y + 5)) for y in ends]
    title = part_title(scene.harness, scene.setting, item.part)
    ladder.canvas.symbol(item.id, shapes, _words(ladder, item, start + drawn.height / 2), title=title, kind=item.kind)
    for key in dict.fromkeys((item.id.partition("|")[0], item.part)):
        ladder.shapes.setdefault(key, []).append(shapes[0][1])
        ladder.cores.setdefault(key, ((x - wide * 0.4, start + drawn.height * 0.3, x + wide * 0.4, end - drawn.height * 0.3),))
    for stubs, y, other in ((item.tops, top, bottom), (item.bottoms, bottom, top)):
        for stub in stubs:
            ladder.points.setdefault(stub.terminal, (x, other if far and stub.pin == far else y))
    if item.kind in ("earth", "metal", "frame"):
        ladder.frames.append((x, top))
        ladder.points.setdefault(item.part, (x, top))


def _words(ladder: Ladder, item: Item, middle: float) -> list[Text]:
    """Name, and under it value and pins."""
    name, value = ladder.scene.look.names.get(item.id, ("", ""))
    pins = " › ".join(text for text in ("/".join(_pins(item, top=True)), "/".join(_pins(item, top=False))) if text)
    under = " · ".join(text for text in (value, pins if item.kind not in BOXES else "") if text)
    room = WIDTH - ladder.text_x - _EDGE - 8
    words = [Text(ladder.text_x, middle + (-2.0 if under else 5.0), name, _NAME, kind="id", bold=True)]
    if under:
        words.append(Text(ladder.text_x, middle + 13, _fitted(under, _SMALL, room), _SMALL, kind="mut", slot=f"row {item.part}"))
    return words


def _pins(item: Item, *, top: bool) -> tuple[str, ...]:
    return tuple(dict.fromkeys(stub.pin for stub in (item.tops if top else item.bottoms) if stub.pin))


def _fitted(words: str, size: float, width: float, *, bold: bool = False) -> str:
    """Cut a line that is too long, with a sign that it was cut."""
    while measured(words, size, bold=bold) > width and len(words) > 1:
        words = words[:-2].rstrip() + "…"
    return words


def _bolts(ladder: Ladder, item: Item) -> None:
    """Say which terminals are bolted to metal."""
    onto = [f"{stub.pin} bolted to {stub.onto.replace('-', ' ')}" for stub in (*item.tops, *item.bottoms) if not stub.lead]
    for words in onto:
        left, top = ladder.text_x, ladder.y
        ladder.canvas.symbols.append(ladder.canvas.text(Text(left, top + 14, words, _SMALL, kind="mut")))
        ladder.y += 20.0


def _lead_row(ladder: Ladder, lead_id: str, item: Item) -> None:
    """One row for a lead: chip, pin, id; colours, size, volts and amps at the right."""
    scene, y = ladder.scene, ladder.y
    lead = scene.harness.leads[lead_id]
    base, tracer = screen_of(lead.colour)
    chip = rect(ladder.text_x, y + 5, 11, 11, kind="chip").replace("/>", f' fill="{base}"/>', 1)
    ladder.canvas.boxes.append((ladder.text_x, y + 5, ladder.text_x + 11, y + 16))
    if tracer:
        chip += rect(ladder.text_x + 1, y + 9, 9, 3).replace("/>", f' fill="{tracer}"/>', 1)
    pin = next((stub.pin for stub in item.bottoms if stub.lead == lead_id), "") if len(item.bottoms) > 1 else ""
    left = Text(ladder.text_x + 17, y + 15, f"{pin} {lead_id}".strip(), _SMALL)
    volts = next((value for (name, _), value in scene.look.volts.items() if name == lead_id), "")
    amps = scene.look.labels[lead_id][2]
    live, slot = (f"{volts} · {amps}", "both") if volts and amps else (volts, "volts") if volts else (amps, "amps")
    terminal = next(stub.terminal for stub in item.bottoms if stub.lead == lead_id)
    colour = " ".join(word for word in (lead.colour, size_words(lead)) if word)
    right = WIDTH - _EDGE - 8
    words = [left]
    room = right - left.box[2] - 10
    if live and measured(live, _SMALL, bold=True) <= room:
        words.append(Text(right, y + 15, live, _SMALL, "end", "v", bold=True, slot=f"{slot} {lead_id} {terminal}"))
        room -= measured(live, _SMALL, bold=True) + 8
        right -= measured(live, _SMALL, bold=True) + 8
    if colour and measured(colour, _SMALL) <= room:
        words.append(Text(right, y + 15, colour, _SMALL, "end", "mut"))
    ladder.canvas.symbols.append(group([chip, *(ladder.canvas.text(text) for text in words)], title=lead_title(lead_id, lead), class_="row", data_id=lead_id))
    ladder.y += _LEAD_ROW


def _leads(ladder: Ladder) -> None:
    harness = ladder.scene.harness
    for wire in ladder.scene.layout.wires:
        lead = harness.leads[wire.lead]
        points = ladder.corners[wire.lead]
        route = [point for number, point in enumerate(points) if not number or point != points[number - 1]]
        state = ladder.scene.states
        ladder.canvas.lead(wire.lead, lead.colour, route, title=lead_title(wire.lead, lead, state.words(wire.lead)), state=state.kind.get(wire.lead, ""))
        ladder.corners[wire.lead] = route
        for end, point in zip(("to", "from") if wire.turned else ("from", "to"), (route[0], route[-1]), strict=True):
            ladder.points[f"{wire.lead}.{end}"] = point


def _finished(ladder: Ladder, lights: Highlights, title: str, top: float, *, tappable: bool) -> str:
    """Marks with their list, sentence and legend."""
    scene, canvas = ladder.scene, ladder.canvas
    bottom = ladder.y + 6.0
    anchors = Anchors(
        ladder.points,
        {lead: tuple(route) for lead, route in ladder.corners.items()},
        {key: tuple(boxes) for key, boxes in ladder.shapes.items()},
        ladder.cores,
        tuple(ladder.frames),
    )
    left = place_marks(canvas, anchors, lights, bounds=(2.0, top - 2.0, WIDTH - 2.0, bottom), compact=True)
    below, y = listed(lights, left, x=_EDGE + 4, y=bottom + 8, width=WIDTH - 2 * _EDGE - 8)
    entries = entries_of(scene.states.kind.values(), lights, volts=bool(scene.states.kind))
    legend, y = lay_legend(entries, x=_EDGE + 4, y=y + 4, width=WIDTH - 2 * _EDGE - 8)
    touch = touch_layer(scene.harness, anchors) if tappable else ""
    return document([HATCH, canvas.body(), below, legend, touch], width=WIDTH, height=y + 12, title=f"{title}, {scene.harness.harness}", style=CSS + MARK_CSS)


