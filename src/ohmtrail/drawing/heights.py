"""Which end of a lead is nearer the source: every terminal's height, source at the top, frame at the bottom."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ohmtrail.drawing.choose import Chosen
from ohmtrail.harness import FRAME, Harness
from ohmtrail.harness import parts as P

__all__ = ["heights"]

#: conductance to frame of every terminal, so that a dead end falls away from where it hangs; own choice
_LEAK = 1e-3
#: an open contact still says which way current would run
_PAIRED = 0.5
#: a bolt to metal, so that many leads on one earth point do not lift it
_BOLTED = 100.0


def heights(harness: Harness, chosen: Chosen) -> dict[str, float]:
    """Give every chosen terminal a height between frame (0) and source (1).

    Parameters
    ----------
    harness : Harness
        The machine.
    chosen : Chosen
        What is drawn.

    Returns
    -------
    dict of str to float
        Terminal -> height. Switch positions do not enter: a picture keeps its shape.

    Notes
    -----
    The potentials of a network in which every lead and part is one siemens and the sources are held at
    one; strictly falling from source to frame, so that leads drawn downwards form no ring.
    """
    names = sorted({FRAME, *chosen.terminals, *_touched(harness, chosen)})
    index = {name: number for number, name in enumerate(names)}
    matrix = np.eye(len(names)) * _LEAK
    for a, b, weight in _joined(harness, chosen):
        if a in index and b in index and a != b:
            i, j = index[a], index[b]
            matrix[i, i] += weight
            matrix[j, j] += weight
            matrix[i, j] -= weight
            matrix[j, i] -= weight
    held = {index[name]: value for name, value in _held(harness, chosen).items() if name in index}
    right = np.zeros(len(names))
    for number, value in held.items():
        matrix[number] = 0.0
        matrix[number, number] = 1.0
        right[number] = value
    found = np.linalg.solve(matrix, right)
    return {name: float(found[number]) for name, number in index.items()}


def _touched(harness: Harness, chosen: Chosen) -> set[str]:
    return {end for lead in chosen.leads for end in (harness.leads[lead].from_, harness.leads[lead].to)}


def _held(harness: Harness, chosen: Chosen) -> dict[str, float]:
    """Poles of sources: the windings where there are any, else the battery."""
    held: dict[str, float] = {FRAME: 0.0}
    batteries: dict[str, float] = {}
    charged = any(isinstance(harness.parts[name], P.Rectifier | P.Alternator) for name in chosen.parts)
    for name in sorted(chosen.parts):
        part = harness.parts[name]
        if isinstance(part, P.Winding):
            held |= {f"{name}.{pin}": 1.0 for pin in part.between if pin not in part.mounts}
        elif isinstance(part, P.Alternator):
            held |= {f"{name}.B+": 0.9}
        elif isinstance(part, P.Battery):
            batteries |= {f"{name}.+": 0.6 if charged else 1.0}
    return held | batteries


def _joined(harness: Harness, chosen: Chosen) -> Iterator[tuple[str, str, float]]:
    """Pairs of terminals that current passes between, with their weight."""
    for lead_id in sorted(chosen.leads):
        lead = harness.leads[lead_id]
        yield lead.from_, lead.to, 1.0
    for name in sorted(chosen.parts):
        part = harness.parts[name]
        for terminal, onto in part.mounts.items():
            yield f"{name}.{terminal}", onto, _BOLTED
        for a, b, weight in _inside(part):
            yield (f"{name}.{a}" if a else name), (f"{name}.{b}" if b not in ("", FRAME) else b or name), weight
        if isinstance(part, P.Earth):
            yield name, part.on, _BOLTED
        if isinstance(part, P.Metal) and part.bolted_to:
            yield name, part.bolted_to, _BOLTED


def _inside(part: P.Part) -> Iterator[tuple[str, str, float]]:
    """Pairs of a part's own terminals, in the order in which current passes them."""
    match part:
        case P.Switch():
            for pair in dict.fromkeys(pair for pairs in part.positions.values() for pair in pairs):
                yield *pair, _PAIRED
        case P.Connector():
            for cavity in part.cavities:
                yield f"{cavity}a", f"{cavity}b", 1.0
        case P.Lamp():
            for filament in part.all_filaments().values():
                yield *filament.between, _PAIRED
        case P.Coil():
            yield *part.primary.between, _PAIRED
            yield *part.secondary.between, 0.1
            yield part.primary.between[0], part.secondary.between[0], _PAIRED
        case P.Rectifier():
            for pin in part.input:
                yield pin, part.output[0], _PAIRED
            yield *part.output, 0.1
        case P.Relay():
            yield *part.coil, _PAIRED
            for contact in part.contacts:
                yield *contact.between, _PAIRED
        case P.Module():
            for item in part.inside:
                yield *item.between, _PAIRED
            if part.delivers:
                yield *part.delivers.between, 0.1
                for pin in part.terminals():
                    if pin not in part.delivers.between:
                        yield pin, part.delivers.between[0], 0.3
        case P.Battery():
            yield "+", "-", 0.1
        case P.Alternator():
            yield "B+", "31", 0.1
            yield "D+", "31", _PAIRED
        case _:
            names = part.terminals()
            if len(names) == 2:
                yield names[0], names[1], _PAIRED
