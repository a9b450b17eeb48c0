"""The layout engine: rows, and a first order in them, from Graphviz ``dot``."""

from __future__ import annotations

import shutil
import subprocess
import sysconfig
from collections.abc import Iterable, Sequence
from pathlib import Path

import graphviz  # type: ignore[import-untyped]  # no stubs exist
from graphviz.backend import dot_command  # type: ignore[import-untyped]  # no stubs exist

from ohmtrail.errors import MissingTool

__all__ = ["ENGINE", "rendered", "rows_and_order"]

#: the one engine of all pictures and tests; another version places things elsewhere
ENGINE = "graphviz-pure"


def _engine() -> Path:
    """Where the engine is installed."""
    beside = Path(sysconfig.get_path("scripts")) / ENGINE
    found = shutil.which(str(beside)) or shutil.which(ENGINE)
    if found is None:
        raise MissingTool(f"drawing needs the layout command {ENGINE!r}, which is not installed; 'pip install {ENGINE}' brings it")
    return Path(found)


def rendered(source: str, form: str) -> str:
    """Run the engine over a graph.

    Parameters
    ----------
    source : str
        A graph in the DOT language.
    form : str
        Output format: ``plain`` or ``svg``.

    Returns
    -------
    str
        What it wrote.

    Raises
    ------
    MissingTool
        The engine is not installed, or fails.
    """
    dot_command.DOT_BINARY = _engine()
    try:
        return str(graphviz.Source(source).pipe(format=form, engine="dot", encoding="utf-8", quiet=True))
    except (graphviz.ExecutableNotFound, subprocess.CalledProcessError) as error:
        raise MissingTool(f"the layout command {ENGINE!r} failed: {error}") from error


def rows_and_order(
    nodes: Sequence[str], edges: Iterable[tuple[str, str]], *, sources: Iterable[str] = ()
) -> tuple[dict[str, int], dict[str, float]]:
    """Give every node a row, upper ends above lower ends, and an abscissa that tells its order.

    Parameters
    ----------
    nodes : sequence of str
        Names.
    edges : iterable of (upper, lower)
        Parallel ones allowed.
    sources : iterable of str
        Nodes that belong in the first row.

    Returns
    -------
    tuple of dict
        Node -> row from 0; node -> abscissa.
    """
    number = {node: index for index, node in enumerate(nodes)}
    lines = ["digraph{ranksep=0.5;nodesep=0.2;node[shape=box,fixedsize=true,width=0.5,height=0.3,label=\"\"];edge[arrowhead=none];"]
    lines += [f"n{index};" for index in range(len(nodes))]
    lines += [f"n{number[a]}->n{number[b]};" for a, b in edges if a != b]
    tops = [f"n{number[node]};" for node in sources]
    if len(tops) > 1:
        lines.append(f"{{rank=same;{''.join(tops)}}}")
    lines.append("}")
    found: dict[str, tuple[float, float]] = {}
    for row in rendered("\n".join(lines), "plain").splitlines():
        words = row.split()
        if words and words[0] == "node":
            found[nodes[int(words[1][1:])]] = (float(words[2]), float(words[3]))
    levels = sorted({round(y, 2) for _, y in found.values()}, reverse=True)
    return {node: levels.index(round(found[node][1], 2)) for node in nodes}, {node: found[node][0] for node in nodes}
