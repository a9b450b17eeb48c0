"""The whole harness by place, for screen and wall."""

from __future__ import annotations

from ohmtrail.circuit import Electrics, Setting
from ohmtrail.drawing.choose import choose_all
from ohmtrail.drawing.highlights import Highlights
from ohmtrail.drawing.paths import finish, nominal_electrics, paint, scene_of
from ohmtrail.harness import Harness

__all__ = ["draw_whole"]

#: distance of two tracks on the wall, px: no halo runs here
PITCH = 15.0


def draw_whole(
    harness: Harness,
    setting: Setting | None = None,
    *,
    highlights: Highlights | None = None,
    electrics: Electrics | None = None,
    declared: bool = False,
) -> str:
    """Draw the whole harness by place.

    Parameters
    ----------
    harness : Harness
        The machine.
    setting : Setting, optional
        State of the machine; with one, leads show what they carry. Without, switches stand at rest.
    highlights : Highlights, optional
        Marks of a job; they move nothing.
    electrics : Electrics, optional
        Electricity of the same harness, to save working it out again.
    declared : bool
        Whether the places keep the order of the file, instead of the one with the shortest leads.

    Returns
    -------
    str
        An SVG file; every lead can be followed with a finger.

    Raises
    ------
    MissingTool
        The layout engine is not installed.
    """
    electrics = electrics or nominal_electrics(harness)
    scene = scene_of(electrics, choose_all(harness), setting or Setting(), live=setting is not None, declared=declared, pitch=PITCH)
    counts = f"{len(harness.leads)} leads · {len(harness.parts)} parts · {len(harness.places)} places"
    words = " · ".join((counts, *(setting.words() if setting is not None else ())))
    return finish(scene, paint(scene), highlights or Highlights(), title=harness.harness, words=words)
