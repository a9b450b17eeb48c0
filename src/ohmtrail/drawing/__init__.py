"""Pictures of the wiring: paths, ladders, the whole harness, all from one layout.

Imports harness and circuit only; what a job found comes in as `Highlights`, by id and in words.
"""

from ohmtrail.drawing.book import PAPERS, draw_book, on_paper
from ohmtrail.drawing.graph import draw_graph
from ohmtrail.drawing.highlights import Highlights, MendMark, NextMark, ReadingMark, SuspectMark
from ohmtrail.drawing.ladder import draw_ladder
from ohmtrail.drawing.live import LIVE_CSS, LivePicture, draw_live
from ohmtrail.drawing.page import as_page, picture_css, without_style
from ohmtrail.drawing.paths import draw_path
from ohmtrail.drawing.text import without_fonts
from ohmtrail.drawing.union import draw_union
from ohmtrail.drawing.whole import draw_whole

__all__ = [
    "LIVE_CSS",
    "PAPERS",
    "Highlights",
    "LivePicture",
    "MendMark",
    "NextMark",
    "ReadingMark",
    "SuspectMark",
    "as_page",
    "draw_book",
    "draw_graph",
    "draw_ladder",
    "draw_live",
    "draw_path",
    "draw_union",
    "draw_whole",
    "on_paper",
    "picture_css",
    "without_fonts",
    "without_style",
]
