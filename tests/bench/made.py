"""Harnesses of any size, made by rule: for measuring growth, not for learning anything about machines."""

from __future__ import annotations

from collections.abc import Iterator

__all__ = ["made_harness"]

#: circuits that share a splice of the supply, a connector and an earth point
_GROUP = 8
#: every so many circuits have a relay between their switch and their lamp
_RELAYED = 4


def made_harness(leads: int) -> str:
    """Give a lorry's worth of lamp circuits as harness text, in valid YAML.

    Parameters
    ----------
    leads : int
        How many leads it has, to within the last circuit.

    Returns
    -------
    str
        Battery, then groups of circuits: fuse, switch, every fourth a relay, connector, lamp, earth point; one
        function to a lamp.
    """
    parts = ['battery: {kind: battery, at: box, volts: 12.6 V, resistance: 8 mΩ, mounts: {"-": frame}}']
    wires, functions, group = [], [], 0
    while len(wires) < leads:
        more = list(_group(group, leads - len(wires)))
        for kind, line in more:
            {"part": parts, "lead": wires, "function": functions}[kind].append(line)
        group += 1
    places = [
        "box: {reach: 1 min}",
        *(f"bay-{i}: {{reach: {2 + i % 7} min}}" for i in range(group)),
        *(f"run-{i}: {{reach: {4 + i % 9} min}}" for i in range(group)),
    ]
    looms = [f"loom-{i}: {{passes: [box, bay-{i}, run-{i}], flexes_at: [run-{i}]}}" for i in range(group)]
    sections = (("places", places), ("looms", looms), ("parts", parts), ("leads", wires), ("functions", functions))
    lines = [f"harness: made of {len(wires)} leads", "supply: {nominal: 12 V, earthed: negative}"]
    for name, items in sections:
        lines += [f"{name}:", *(f"  {item}" for item in items)]
    return "\n".join(lines) + "\n"


def _group(group: int, left: int) -> Iterator[tuple[str, str]]:
    """Parts, leads and functions of some circuits with one supply, connector and earth point."""
    count = max(1, min(_GROUP, left // 6))
    yield "part", f"bus-{group}: {{kind: splice, at: bay-{group}}}"
    yield "part", f"earths-{group}: {{kind: splice, at: run-{group}}}"
    yield "part", f"ground-{group}: {{kind: earth, at: run-{group}}}"
    cavities = ", ".join(str(i + 1) for i in range(count))
    yield "part", f"plug-{group}: {{kind: connector, at: run-{group}, cavities: [{cavities}]}}"
    yield "lead", f"main-{group}: {{from: battery.+, to: bus-{group}, size: 6 mm2, length: 2 m}}"
    yield "lead", f"home-{group}: {{from: earths-{group}, to: ground-{group}, size: 4 mm2, length: 0.4 m}}"
    for item in range(count):
        yield from _circuit(group, item, relayed=item % _RELAYED == _RELAYED - 1)


def _circuit(group: int, item: int, *, relayed: bool) -> Iterator[tuple[str, str]]:
    """One lamp with its fuse, its switch, perhaps a relay."""
    name, wire = f"{group}-{item}", f"size: 1 mm2, length: {1 + item % 3} m, loom: loom-{group}"
    yield "part", f"fuse-{name}: {{kind: fuse, at: bay-{group}, rating: 10 A}}"
    yield "part", f"switch-{name}: {{kind: switch, at: bay-{group}, rests: off, positions: {{off: [], on: [[1, 2]]}}}}"
    yield "part", f"lamp-{name}: {{kind: lamp, at: run-{group}, watts: {5 + 16 * (item % 2)} W, volts: 12 V}}"
    yield "lead", f"feed-{name}: {{from: bus-{group}, to: fuse-{name}.1, {wire}}}"
    yield "lead", f"fused-{name}: {{from: fuse-{name}.2, to: switch-{name}.1, {wire}}}"
    cavity = f"plug-{group}.{item + 1}"
    if relayed:
        yield "part", f"relay-{name}: {{kind: relay, at: bay-{group}, resistance: 90 Ω, pulls_at: 7 V, mounts: {{85: frame}}}}"
        yield "lead", f"call-{name}: {{from: switch-{name}.2, to: relay-{name}.86, {wire}}}"
        yield "lead", f"work-{name}: {{from: fuse-{name}.2, to: relay-{name}.30, {wire}}}"
        yield "lead", f"hot-{name}: {{from: relay-{name}.87, to: {cavity}a, {wire}}}"
    else:
        yield "lead", f"hot-{name}: {{from: switch-{name}.2, to: {cavity}a, {wire}}}"
    yield "lead", f"lit-{name}: {{from: {cavity}b, to: lamp-{name}.1, {wire}}}"
    yield "lead", f"back-{name}: {{from: lamp-{name}.2, to: earths-{group}, {wire}}}"
    when = f"switch-{name}: on"
    yield "function", f"light-{name}: {{seen_at: lamp-{name}, when: {{{when}}}, needs: [{{lit: lamp-{name}}}]}}"
