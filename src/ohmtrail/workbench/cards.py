"""Cards of a class: made, and written as two files, the learners' and the trainer's."""

from __future__ import annotations

from dataclasses import replace
from os import PathLike, fspath
from pathlib import Path

from ohmtrail.circuit import Electrics
from ohmtrail.diagnosis import Case
from ohmtrail.drawing.choose import choose_path
from ohmtrail.grammar.names import Names
from ohmtrail.harness import load_harness
from ohmtrail.reports.drill_cards import answers_html, cards_html
from ohmtrail.storage import write_whole
from ohmtrail.training import YEAR, Wish
from ohmtrail.training.cards import ClassCards, cards_for
from ohmtrail.workbench.files import existing
from ohmtrail.workbench.printing import form_of, page_bytes

__all__ = ["class_cards", "save_cards"]


_FORMS = {".html": "html", ".htm": "html", ".pdf": "pdf"}


def class_cards(file: str | PathLike[str], count: int, *, wish: Wish, out: str | PathLike[str] = "") -> ClassCards:
    """Make drills on paper.

    Parameters
    ----------
    file : str or path
        A harness file.
    count : int
        How many cards.
    wish : Wish
        Level and function, and the first card's seed.
    out : str or path
        Where they will go, where that is known: a name that says no kind of file is refused before the work.

    Returns
    -------
    ClassCards
        The same wish gives the same cards.

    Raises
    ------
    InputError
        The harness cannot be used, or there is no such fault on it.
    """
    if out:
        form_of(fspath(out), _FORMS)
    case = Case(load_harness(existing(fspath(file))), year=YEAR)
    if wish.function:
        wish = replace(wish, function=Names(case.harness).function(wish.function.split()))
    electrics = Electrics(case.harness)
    return cards_for(case, wish, count, lambda name: choose_path(electrics, name).terminals)


def save_cards(made: ClassCards, out: str | PathLike[str], *, paper: str = "a4") -> tuple[str, str]:
    """Write the cards, and the trainer's side beside them.

    Parameters
    ----------
    made : ClassCards
        The cards.
    out : str or path
        The learners' file, ``.html`` or ``.pdf``.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    tuple of str
        The learners' file and the trainer's, whose name ends in ``-answers``.

    Raises
    ------
    InputError
        The name ends in nothing known.
    UnknownName
        No such paper.
    MissingTool
        PDF, and no browser is at hand.
    StorageError
        One cannot be written.
    """
    path = Path(out)
    form = form_of(fspath(out), _FORMS)
    other = path.with_name(f"{path.stem}-answers{path.suffix}")
    pages = [cards_html(made, paper=paper), answers_html(made, paper=paper)]
    contents = [page if form == "html" else page_bytes(page, "pdf") for page in pages]
    for name, content in zip((path, other), contents, strict=True):
        write_whole(name, content)
    return fspath(path), fspath(other)
