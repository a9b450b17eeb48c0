"""The bare circuit graph, for those who want the topology."""

from __future__ import annotations

import re

from ohmtrail.circuit import Network, Setting
from ohmtrail.circuit.network import closed_branches
from ohmtrail.drawing.ranks import rendered
from ohmtrail.drawing.text import font_css
from ohmtrail.harness import FRAME, Harness

__all__ = ["draw_graph"]


def draw_graph(harness: Harness, setting: Setting | None = None) -> str:
    """Draw terminals and branches as Graphviz lays them out.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting, optional
        State of the machine; branches that are open in it are dashed. Everything at rest where not given.

    Returns
    -------
    str
        An SVG file: a box per terminal, a line per branch with its id and kind. Leads with their two joints
        are one line; insulation is left out.

    Raises
    ------
    MissingTool
        The layout engine is not installed.
    """
    network = Network.of(harness)
    closed = closed_branches(network, setting or Setting())
    ends = harness.lead_ends
    lines = [
        'graph "circuit" {',
        'rankdir=TB; nodesep=0.15; ranksep=0.3; node [shape=box, style=rounded, fontname="DejaVu Sans", fontsize=10, height=0.25, margin="0.06,0.03"];',
        'edge [fontname="DejaVu Sans", fontsize=8];',
    ]
    nodes = dict.fromkeys((FRAME, *(node for node in network.nodes if node not in ends)))
    number = {node: index for index, node in enumerate(nodes)}
    lines += [f"n{index} [label={_quoted(node)}{', penwidth=2' if node == FRAME else ''}];" for node, index in number.items()]
    on = dict(zip((branch.id for branch in network.branches), closed, strict=True))
    for branch in network.branches:
        if branch.kind in ("insulation", "joint"):
            continue
        a, b = (ends[node][1] if node in ends else node for node in (branch.a, branch.b))
        there = on[branch.id] and all(on.get(f"{branch.id}.{end}", True) for end in ("from", "to"))
        style = "solid" if there else "dashed"
        words = branch.id if branch.kind == "lead" else f"{branch.id} ({branch.kind})"
        lines.append(f"n{number[a]} -- n{number[b]} [label={_quoted(words)}, style={style}];")
    return _with_fonts(rendered("\n".join([*lines, "}"]), "svg"))


def _with_fonts(svg: str) -> str:
    """The engine's picture without its prologue, with the fonts of ours inside and a size in px."""
    body = svg[svg.index("<svg") :]
    head, inner = body[: body.index(">") + 1], body[body.index(">") + 1 :]
    head = re.sub(r'(width|height)="([\d.]+)pt"', r'\1="\2"', head)
    style = f"<style>{font_css()}text{{font-family:'Ohmtrail Sans','DejaVu Sans',sans-serif}}</style>"
    return f"{head}{style}{inner}"


def _quoted(words: str) -> str:
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'
