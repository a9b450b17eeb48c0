"""Names as people type them, matched to the harness: case apart, with the nearest where there is none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from ohmtrail.circuit import Network
from ohmtrail.errors import ReadingError, UnknownName
from ohmtrail.grammar.words import EARTHS
from ohmtrail.harness.model import FRAME, Harness

__all__ = ["Names", "pick"]


def _folded(names: Iterable[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name.casefold(), name)
    return found


def pick(kind: str, word: str, known: Iterable[str]) -> str:
    """Give the known name that a word means, case apart.

    Parameters
    ----------
    kind : str
        What is looked for, for the sentence.
    word : str
        As typed.
    known : iterable of str
        Names there are.

    Returns
    -------
    str
        The name as the harness has it.

    Raises
    ------
    UnknownName
        None is meant; names the nearest.

    Examples
    --------
    >>> pick("terminal", "CDI.stop", ["cdi.STOP"])
    'cdi.STOP'
    """
    folded = _folded(known)
    if word.casefold() not in folded:
        raise UnknownName(kind, word, folded.values())
    return folded[word.casefold()]


class Names:
    """Every name of a harness that a reading may use.

    Parameters
    ----------
    harness : Harness
        The machine.
    """

    def __init__(self, harness: Harness) -> None:
        self.harness = harness

    @cached_property
    def _points(self) -> Mapping[str, str]:
        return _folded(self.harness.points)

    @cached_property
    def elements(self) -> tuple[str, ...]:
        """Everything that can be looked at: leads, joints, contacts, parts."""
        network = Network.of(self.harness)
        named = (*self.harness.leads, *self.harness.parts, *self.harness.lead_ends)
        return tuple(dict.fromkeys((*named, *(branch.id for branch in network.branches))))

    def is_point(self, word: str) -> bool:
        """Whether a word is a probe point."""
        return word.casefold() in self._points or word.casefold() in EARTHS

    def like_point(self, word: str) -> bool:
        """Whether a word is written as a probe point is, right or wrong."""
        head, dot, tail = word.partition(".")
        return bool(dot and head and tail and not head.isdigit()) or self.is_point(word)

    def point(self, word: str) -> str:
        """Give the probe point that a word means.

        Parameters
        ----------
        word : str
            As typed; ``earth``, ``ground`` and the like are the frame.

        Returns
        -------
        str
            A terminal, a lead end or the frame.

        Raises
        ------
        UnknownName
            There is none; names the nearest.
        ReadingError
            A part with several terminals, or a lead, where one point is wanted.
        """
        known = self._points.get(word.casefold())
        if known is not None:
            return known
        if word.casefold() in EARTHS:
            return FRAME
        inside = [name for name in self.harness.points if name.casefold().startswith(f"{word.casefold()}.")]
        if inside:
            told = ", ".join(inside[:6]) + (" ..." if len(inside) > 6 else "")
            raise ReadingError(f"{word!r} has more than one point to probe: say which, {told}")
        raise UnknownName("terminal or lead end", word, self.harness.points)

    def lead(self, word: str) -> str:
        """Give the lead that a word means."""
        return pick("lead", word, self.harness.leads)

    def element(self, word: str) -> str:
        """Give the lead, joint, contact or part that a word means."""
        return pick("lead or part", word, self.elements)

    def function(self, words: Iterable[str]) -> str:
        """Give the function that some words mean.

        Parameters
        ----------
        words : iterable of str
            An id, what it is called, or enough of either.

        Returns
        -------
        str
            Id of a function.

        Raises
        ------
        UnknownName
            No such function.
        ReadingError
            More than one may be meant.
        """
        found = self.functions_like(words)
        if len(found) == 1:
            return found[0]
        said = " ".join(words)
        if found:
            raise ReadingError(f"{said!r} may mean {' or '.join(found[:6])}: say which")
        raise UnknownName("function", said, self.harness.functions)

    def functions_like(self, words: Iterable[str]) -> tuple[str, ...]:
        """Functions that some words may mean: the exact ones, else those with all the words."""
        said = [word.casefold() for word in words]
        if not any(letter.isalnum() for word in said for letter in word):
            return ()
        plain = "-".join(said)
        names = {
            name: (name.casefold(), item.called.casefold().replace(" ", "-"))
            for name, item in self.harness.functions.items()
        }
        exact = tuple(name for name, forms in names.items() if plain in forms)
        if exact:
            return exact
        wanted = set(plain.split("-"))
        return tuple(
            name
            for name, forms in names.items()
            if any(wanted <= set(form.replace(",", "").split("-")) for form in forms)
        )
