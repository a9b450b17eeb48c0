"""A checker that measures the file a user sees, and random harnesses to draw."""

import math
import random
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.circuit import Electrics
from ohmtrail.drawing import Highlights, MendMark, NextMark, ReadingMark, SuspectMark
from ohmtrail.drawing.paths import nominal_electrics
from ohmtrail.harness import Harness, load_harness

CIRCUITS = Path(__file__).parents[2] / "circuits"
Box = tuple[float, float, float, float]
Point = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class Drawn:
    """What a picture holds, read back from its file."""

    labels: list[tuple[str, str, Box]] = field(default_factory=list)
    symbols: list[tuple[str, str, Box]] = field(default_factory=list)
    leads: list[tuple[str, list[Point]]] = field(default_factory=list)
    marks: list[tuple[str, Box]] = field(default_factory=list)
    chips: list[Box] = field(default_factory=list)
    leaders: list[tuple[str, list[Point]]] = field(default_factory=list)
    rings: list[tuple[str, Point, float]] = field(default_factory=list)
    unmarked: int = 0
    untitled: int = 0


def _classes(element: ET.Element) -> set[str]:
    return set(element.get("class", "").split())


def _points(data: str) -> list[Point]:
    numbers = [float(value) for value in re.findall(r"-?\d+(?:\.\d+)?", data)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _text_box(element: ET.Element) -> Box:
    size, width = float(element.get("font-size", "11")), float(element.get("textLength", "0"))
    x, y = float(element.get("x", "0")), float(element.get("y", "0"))
    left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[element.get("text-anchor", "start")]
    return left, y - 0.93 * size, left + width, y + 0.24 * size


def read_back(svg: str) -> Drawn:
    """Read labels, symbols, leads and marks out of a picture."""
    drawn = Drawn()

    def walk(element: ET.Element, owner: str) -> None:
        classes = _classes(element)
        if element.tag == f"{SVG}g" and element.get("data-id"):
            owner = f"{element.get('class', '').split()[0]}:{element.get('data-id')}"
            drawn.untitled += element.find(f"{SVG}title") is None
        if "lead" in classes:
            path = next(child for child in element if child.tag == f"{SVG}path")
            drawn.leads.append((element.get("data-id", ""), _points(path.get("d", ""))))
            return
        if element.get("data-box"):
            left, top, right, bottom = (float(value) for value in element.get("data-box", "").split())
            if "mark" in classes:
                drawn.marks.append((owner, (left, top, right, bottom)))
            else:
                drawn.symbols.append((owner, element.get("class", ""), (left, top, right, bottom)))
        if element.tag == f"{SVG}path" and classes & {"leader", "needle"}:
            drawn.leaders.append((owner, _points(element.get("d", ""))))
        if element.tag == f"{SVG}circle" and "target" in classes:
            drawn.rings.append((owner, (float(element.get("cx", "")), float(element.get("cy", ""))), float(element.get("r", ""))))
        if element.tag == f"{SVG}rect" and "chip" in classes:
            left, top, wide, high = (float(element.get(name, "")) for name in ("x", "y", "width", "height"))
            drawn.chips.append((left, top, left + wide, top + high))
        if element.tag == f"{SVG}text" and "mark" not in owner:
            drawn.unmarked += (element.text or "").startswith("no room for the mark")
            drawn.labels.append((owner, element.text or "", _text_box(element)))
        for child in element:
            walk(child, owner)

    walk(ET.fromstring(svg), "")
    return drawn


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share more than a hair."""
    return a[0] < b[2] - 0.05 and b[0] < a[2] - 0.05 and a[1] < b[3] - 0.05 and b[1] < a[3] - 0.05


def inside(a: Box, b: Box) -> bool:
    """Whether a lies in b."""
    return a[0] >= b[0] - 0.05 and a[1] >= b[1] - 0.05 and a[2] <= b[2] + 0.05 and a[3] <= b[3] + 0.05


def stretches(route: list[Point], half: float) -> Iterator[Box]:
    """Boxes of a lead's straight stretches."""
    for (x1, y1), (x2, y2) in pairwise(route):
        assert x1 == x2 or y1 == y2, f"slanted: {route}"
        yield min(x1, x2) - half, min(y1, y2) - half, max(x1, x2) + half, max(y1, y2) + half


def faults_of(svg: str) -> list[str]:
    """Name everything in a picture that lies on something else or misses its end."""
    drawn = read_back(svg)
    found = [f"no title on {drawn.untitled} shapes"] if drawn.untitled else []
    for number, (owner, text, box) in enumerate(drawn.labels):
        found += [f"label {text!r} on label {other!r}" for _, other, b in drawn.labels[number + 1 :] if overlap(box, b)]
        found += [f"label {text!r} on symbol {o}" for o, _, b in drawn.symbols if overlap(box, b) and not (o == owner and inside(box, b))]
        found += [
            f"label {text!r} on lead {lead}" for lead, route in drawn.leads for b in stretches(route, 4.3) if overlap(box, b) and not owner.startswith("place")
        ]
    found += [f"symbol {o} on symbol {p}" for i, (o, _, a) in enumerate(drawn.symbols) for p, _, b in drawn.symbols[i + 1 :] if o != p and overlap(a, b)]
    for number, (lead, route) in enumerate(drawn.leads):
        found += _through(lead, route, drawn)
        found += [f"lead {lead} steps aside by {abs(x1 - x2):g} px" for (x1, y1), (x2, y2) in pairwise(route) if y1 == y2 and abs(x1 - x2) < 8.0]
        for other, second in drawn.leads[number + 1 :]:
            found += [f"lead {lead} beside {other}" for a in stretches(route, 0) for b in stretches(second, 0) if _beside(a, b)]
    found += [*_marks(drawn), *_leaders(drawn), *_rings(drawn)]
    return found + ([f"no room for {drawn.unmarked} marks"] if drawn.unmarked else [])


def _through(lead: str, route: list[Point], drawn: Drawn) -> Iterator[str]:
    """Leads through symbols, and ends that miss them."""
    ends = (route[0], route[-1])
    for x, y in ends:
        if not any(b[0] - 1 <= x <= b[2] + 1 and b[1] - 6 <= y <= b[3] + 6 for _, _, b in drawn.symbols):
            yield f"lead {lead} misses its end at {x:g},{y:g}"
    middle = _trimmed(_trimmed(route)[::-1])
    for owner, _, box in drawn.symbols:
        own = any(box[0] - 1 <= x <= box[2] + 1 and box[1] - 6 <= y <= box[3] + 6 for x, y in ends)
        if any(overlap(b, box) for b in stretches(middle if own else route, 3.0)):
            yield f"lead {lead} through symbol {owner}"


def _trimmed(route: list[Point], length: float = 12.0) -> list[Point]:
    """A route without its first few px, which lie at the symbol it ends on."""
    (x1, y1), (x2, y2) = route[0], route[1]
    far = abs(x1 - x2) + abs(y1 - y2)
    if far <= length:
        return route[1:] if len(route) > 2 else [route[1], route[1]]
    share = length / far
    return [(x1 + (x2 - x1) * share, y1 + (y2 - y1) * share), *route[1:]]


def _beside(a: Box, b: Box) -> bool:
    """Whether two stretches run along each other closer than 9 px over more than 2 px."""
    upright = a[0] == a[2] and b[0] == b[2]
    lying = a[1] == a[3] and b[1] == b[3]
    if upright and abs(a[0] - b[0]) < 9:
        return min(a[3], b[3]) - max(a[1], b[1]) > 2
    return lying and abs(a[1] - b[1]) < 9 and min(a[2], b[2]) - max(a[0], b[0]) > 2


def _marks(drawn: Drawn) -> Iterator[str]:
    for number, (mark, box) in enumerate(drawn.marks):
        yield from (f"{mark} on {other}" for other, b in drawn.marks[number + 1 :] if overlap(box, b))
        yield from (f"{mark} on label {text!r}" for _, text, b in drawn.labels if overlap(box, b))
        yield from (f"{mark} on symbol {owner}" for owner, _, b in drawn.symbols if overlap(box, b))
        yield from (f"{mark} on a chip" for b in drawn.chips if overlap(box, b))
        yield from (f"{mark} on lead {lead}" for lead, route in drawn.leads for b in stretches(route, 3.0) if overlap(box, b))


def _over(start: Point, end: Point, box: Box) -> float:
    """Length of a straight line inside a box, px."""
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        way = end[axis] - start[axis]
        if abs(way) < 1e-9:
            if not box[axis] < start[axis] < box[axis + 2]:
                return 0.0
            continue
        first, last = sorted(((box[axis] - start[axis]) / way, (box[axis + 2] - start[axis]) / way))
        enter, leave = max(enter, first), min(leave, last)
    return max(leave - enter, 0.0) * math.dist(start, end)


def _cut(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two straight lines cross."""

    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < -1e-6 and turn(c, d, a) * turn(c, d, b) < -1e-6


def _leaders(drawn: Drawn) -> Iterator[str]:
    """Leaders over words, chips, symbols, marks or each other, along leads, or that miss their ends."""
    boxes = dict(drawn.marks)
    for number, (mark, route) in enumerate(drawn.leaders):
        own = [b for _, _, b in drawn.symbols if b[0] - 1 <= route[0][0] <= b[2] + 1 and b[1] - 6 <= route[0][1] <= b[3] + 6]
        legs = list(pairwise(route))
        for start, end in legs:
            yield from (f"leader of {mark} over label {text!r}" for _, text, b in drawn.labels if _over(start, end, b) > 0)
            yield from (f"leader of {mark} over a chip" for b in drawn.chips if _over(start, end, b) > 0)
            yield from (f"leader of {mark} over symbol {o}" for o, _, b in drawn.symbols if _over(start, end, b) > (32.0 if b in own else 0.0))
            yield from (f"leader of {mark} over {other}" for other, b in drawn.marks if other != mark and _over(start, end, b) > 0)
            yield from (
                f"leader of {mark} over leader of {other}" for other, second in drawn.leaders[number + 1 :] for c, d in pairwise(second) if _cut(start, end, c, d)
            )
            yield from (f"leader of {mark} along {lead}" for lead, second in drawn.leads for b in stretches(second, 3.0) if _over(start, end, b) > 12.0)
        x, y = route[0]
        others = [(lead, second) for lead, second in drawn.leads if not any(b[0] <= x <= b[2] and b[1] <= y <= b[3] for b in stretches(second, 6.0))]
        crossed = {lead for lead, second in others for c, d in pairwise(second) for a, b in legs if _cut(a, b, c, d)}
        if len(crossed) > 2:  # from an inner lane of a ladder there may be no other way out
            yield f"leader of {mark} over leads {', '.join(sorted(crossed))}"
        left, top, right, bottom = boxes[mark]
        x, y = route[-1]
        if math.hypot(max(left - x, x - right, 0.0), max(top - y, y - bottom, 0.0)) > 0.1:
            yield f"leader of {mark} misses its mark"
        x, y = route[0]
        at_flag = any(b[0] - 0.1 <= x <= b[2] + 0.1 and b[1] - 0.1 <= y <= b[3] + 0.1 for other, b in drawn.marks if other != mark)
        if not own and not at_flag and not any(b[0] <= x <= b[2] and b[1] <= y <= b[3] for _, second in drawn.leads for b in stretches(second, 0.1)):
            yield f"leader of {mark} starts in mid-air"


def _rings(drawn: Drawn) -> Iterator[str]:
    """Rings of the probes over the capitals of words: from the baseline, 0.729 em high (DejaVu Sans)."""
    for mark, (x, y), radius in drawn.rings:
        for _, text, (left, top, right, bottom) in drawn.labels:
            size = (bottom - top) / 1.17
            top, bottom = bottom - (0.24 + 0.729) * size, bottom - 0.24 * size
            if math.hypot(max(left - x, x - right, 0.0), max(top - y, y - bottom, 0.0)) < radius + 1.0:
                yield f"ring of {mark} on label {text!r}"


def crossings_of(svg: str) -> int:
    """Count where leads cross."""
    leads = read_back(svg).leads
    total = 0
    for number, (_, route) in enumerate(leads):
        for _, second in leads[number + 1 :]:
            for a in stretches(route, 0):
                for b in stretches(second, 0):
                    if (a[0] == a[2]) != (b[0] == b[2]):
                        total += (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]) or _crosses(a, b)
    return total


def _crosses(a: Box, b: Box) -> bool:
    upright, lying = (a, b) if a[0] == a[2] else (b, a)
    return lying[0] < upright[0] < lying[2] and upright[1] < lying[1] < upright[3]


def bends_of(svg: str) -> int:
    """Count corners of leads."""
    return sum(len(route) - 2 for _, route in read_back(svg).leads)


COLOURS = ("BK", "BN", "RD", "YE/BK", "GN", "VT/WH", "BU/YE", "WH", "GY/RD", "")
ENDS = (
    {"kind": "lamp", "watts": "21 W"},
    {"kind": "horn"},
    {"kind": "motor", "resistance": "2 Ω"},
    {"kind": "resistor", "resistance": "8 Ω"},
    {"kind": "relay", "coil": ["1", "2"], "contacts": [{"between": ["3", "4"]}]},
)


def random_machine(seed: int, *, size: tuple[int, int] = (15, 35), places: tuple[int, int] = (3, 7)) -> Harness:
    """Make up a harness whose one function passes some 15 to 35 parts and leads, with branches."""
    rng = random.Random(seed)
    names = [f"place-{index}" for index in range(rng.randint(*places))]
    parts: dict[str, Any] = {"battery": {"kind": "battery", "at": names[0]}, "E0": {"kind": "earth", "at": names[0]}}
    leads: dict[str, Any] = {}
    target = rng.randint(*size)

    def lead(a: str, b: str) -> None:
        item = {"from": a, "to": b, "colour": rng.choice(COLOURS), "size": rng.choice(("0.75 mm2", "1.5 mm2", "2.5 mm2"))}
        leads[f"{rng.choice(('feed', 'lead', 'w', 'long-lead-name'))}-{len(leads) + 1}"] = item

    def pass_through(point: str) -> str:
        kind = rng.choice(("fuse", "switch", "connector", "connector", "connector", "splice"))
        name = f"{kind}-{len(parts)}"
        at = rng.choice(names)
        if kind == "fuse":
            parts[name], ends = {"kind": kind, "at": at, "rating": "10 A"}, ("1", "2")
        elif kind == "switch":
            parts[name] = {"kind": kind, "at": at, "rests": "on", "positions": {"on": [["30", "15"]], "off": []}}
            ends = ("30", "15")
        elif kind == "connector":
            parts[name], ends = {"kind": kind, "at": at, "cavities": ["1", "2"]}, ("1a", "1b")
        else:
            parts[name] = {"kind": kind, "at": at}
            lead(point, name)
            return name
        ends = ends if rng.random() < 0.8 else ends[::-1]
        lead(point, f"{name}.{ends[0]}")
        return f"{name}.{ends[1]}"

    tips, loads = ["battery.+"], []
    lead("battery.-", "E0")
    while len(parts) + len(leads) < target - 4 * len(tips):
        slot = rng.randrange(len(tips))
        if len(tips) < 4 and rng.random() < 0.12:
            tips.append(tips[slot])
        tips[slot] = pass_through(tips[slot])
    for tip in tips:
        name = f"load-{len(parts)}"
        parts[name] = {**rng.choice(ENDS), "at": rng.choice(names)}
        lead(tip, f"{name}.1")
        if rng.random() < 0.3:
            parts[name]["mounts"] = {"2": "frame"}
        else:
            earth = f"E{len(parts)}"
            parts[earth] = {"kind": "earth", "at": rng.choice(names)}
            lead(f"{name}.2", earth)
        loads.append(name)
    needs = [{"works": name} if parts[name]["kind"] != "lamp" else {"lit": name} for name in loads]
    reach = {name: {"reach": f"{index + 1} min", "how": rng.choice(("two screws", "cowl off, four clips", ""))} for index, name in enumerate(names)}
    data = {"harness": f"made up {seed}", "places": reach, "parts": parts, "leads": leads, "functions": {"all": {"needs": needs}}}
    return Harness.model_validate(data)


def job_made_up(harness: Harness, leads: list[str], parts: list[str], seed: int) -> Highlights:
    """Make up a job: readings, suspects, ticks, a mend and the next reading."""
    rng = random.Random(seed)
    points = [f"{lead}.{end}" for lead in leads for end in ("from", "to")] + [harness.leads[lead].from_ for lead in leads]
    pick = [rng.choice(points) for _ in range(8)]
    things = rng.sample([*leads, *parts], min(8, len(leads) + len(parts)))
    return Highlights(
        readings=tuple(ReadingMark(i + 1, pick[i], rng.choice(("frame", "", pick[i + 3])), rng.choice(("12.4 V", "OL", "84 V ~", "none"))) for i in range(3)),
        suspects=tuple(SuspectMark((thing,), f"{60 - 20 * i} %", "leaks to frame where the loom flexes") for i, thing in enumerate(things[:3])),
        ruled_out=tuple(things[3:7]),
        next=NextMark(pick[6], "frame", "Set the meter to ohms, red on the plug, black on the frame."),
        mends=tuple(MendMark(thing, "renewed") for thing in things[7:]),
    )


def ids_in(svg: str, kind: str) -> list[str]:
    """Ids of the leads or parts in a picture."""
    return sorted(set(re.findall(rf'class="{kind}[^"]*" data-id="([^"|]+)"', svg)))


@cache
def _machine(name: str) -> tuple[Harness, Electrics]:
    harness = load_harness(CIRCUITS / f"{name}.yaml")
    return harness, nominal_electrics(harness)


MACHINES = tuple(sorted(path.stem for path in CIRCUITS.glob("*.yaml")))
CASES = tuple((name, function) for name in MACHINES for function in _machine(name)[0].functions)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Every machine, or every function of every machine, by argument name."""
    if "case" in metafunc.fixturenames:
        metafunc.parametrize("case", CASES, ids="-".join)
    if "machine_name" in metafunc.fixturenames:
        metafunc.parametrize("machine_name", MACHINES)


@pytest.fixture(scope="session")
def machine() -> Callable[[str], tuple[Harness, Electrics]]:
    """Harness and electricity of an example machine."""
    return _machine


@pytest.fixture(scope="session")
def made_up() -> Callable[..., Harness]:
    """A random harness by seed."""
    return random_machine


@pytest.fixture(scope="session")
def faults() -> Callable[[str], list[str]]:
    """The checker."""
    return faults_of


@pytest.fixture(scope="session")
def counted() -> Callable[[str], tuple[int, int]]:
    """Crossings and bends of a picture."""
    return lambda svg: (crossings_of(svg), bends_of(svg))


@pytest.fixture(scope="session")
def job_on() -> Callable[[Harness, list[str], list[str], int], Highlights]:
    """A random job by leads, parts and seed."""
    return job_made_up


@pytest.fixture(scope="session")
def ids() -> Callable[[str, str], list[str]]:
    """Ids of the leads or parts in a picture."""
    return ids_in
