"""Pictures for a page that turns the switches itself: every state of a switch, and room for every figure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.drawing.anchors import anchors_of
from ohmtrail.drawing.choose import Chosen, choose_all, choose_path
from ohmtrail.drawing.ladder import TOP, WIDTH, ladder_of
from ohmtrail.drawing.layout import PITCH
from ohmtrail.drawing.paths import MARGIN, TITLE, nominal_electrics, paint, scene_of
from ohmtrail.drawing.style import CSS
from ohmtrail.drawing.svg import num
from ohmtrail.drawing.text import without_fonts
from ohmtrail.drawing.whole import PITCH as WALL_PITCH
from ohmtrail.harness import FRAME, Harness

__all__ = ["LIVE_CSS", "LivePicture", "draw_live"]

#: the styles of these pictures; a page carries them once
LIVE_CSS = CSS + ".look{display:none}.look.now{display:inline}"
#: what is left free above the columns, px
_TOP = 8.0


@dataclass(frozen=True)
class LivePicture:
    """A picture without figures, and where a probe can touch it.

    Attributes
    ----------
    svg : str
        An ``svg`` element without fonts and styles. Figures stand in texts with ``data-slot``, states of
        switches in groups ``look`` with ``data-look``, of which none is shown.
    width, height : float
        Size, px.
    points : mapping of str to (float, float)
        Terminal -> where it stands, px.
    """

    svg: str
    width: float
    height: float
    points: Mapping[str, tuple[float, float]]


def draw_live(harness: Harness, function: str = "", *, ladder: bool = False, electrics: Electrics | None = None) -> LivePicture:
    """Draw a function's path, or the whole harness, for a page that fills in the figures.

    Parameters
    ----------
    harness : Harness
        The machine.
    function : str
        Id of the function; the whole harness where not given.
    ladder : bool
        Whether the path is drawn for a phone.
    electrics : Electrics, optional
        Electricity of the same harness, to save working it out again.

    Returns
    -------
    LivePicture
        The same layout as `draw_path`, `draw_ladder` or `draw_whole` give.

    Raises
    ------
    UnknownName
        No such function.
    MissingTool
        The layout engine is not installed.
    """
    electrics = electrics or nominal_electrics(harness)
    chosen = choose_path(electrics, function) if function else choose_all(harness)
    return _ladder(electrics, chosen) if ladder else _columns(electrics, chosen, whole=not function)


def _columns(electrics: Electrics, chosen: Chosen, *, whole: bool) -> LivePicture:
    scene = scene_of(electrics, chosen, Setting(), blank=True, pitch=WALL_PITCH if whole else PITCH)
    points = anchors_of(scene.layout, MARGIN, TITLE).points
    top = TITLE - _TOP
    width, height = scene.layout.width + 40.0, scene.layout.height + 2 * _TOP
    return _picture(paint(scene, every=True).body(), points, electrics.harness, (0.0, top, width, height))


def _ladder(electrics: Electrics, chosen: Chosen) -> LivePicture:
    drawn = ladder_of(scene_of(electrics, chosen, Setting(), blank=True), every=True)
    return _picture(drawn.canvas.body(), drawn.points, electrics.harness, (0.0, TOP - _TOP, WIDTH, drawn.y - TOP + 2 * _TOP))


def _picture(body: str, points: Mapping[str, tuple[float, float]], harness: Harness, view: tuple[float, float, float, float]) -> LivePicture:
    left, top, width, height = view
    size = f'viewBox="{num(left)} {num(top)} {num(width)} {num(height)}" width="{num(width)}" height="{num(height)}"'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="group"><rect class="paper" x="{num(left)}" y="{num(top)}" width="{num(width)}" height="{num(height)}"/>{body}</svg>'
    known = {point: at for point, at in points.items() if point in harness.terminals and point != FRAME}
    return LivePicture(without_fonts(svg), width, height, known)
