"""Faults and mends as values."""

from __future__ import annotations

from dataclasses import dataclass

from ohmtrail.circuit import Change

__all__ = ["Fault", "Mend"]


@dataclass(frozen=True)
class Mend:
    """What would put a fault right.

    Attributes
    ----------
    id : str
        Such as ``renew stop-2`` or ``clean the earth E5``; suspects with one mend are one answer.
    element : str
        The lead, joint, contact or part that is worked on.
    minutes : float
        Work once one is there.
    places : tuple of str
        Places that must be open for it.
    vain : float
        What it costs in vain beside its minutes, minute: parts, and something original changed.
    """

    id: str
    element: str
    minutes: float
    places: tuple[str, ...]
    vain: float = 0.0


@dataclass(frozen=True)
class Fault:
    """One thing wrong with one element.

    Attributes
    ----------
    id : str
        ``element kind``, as in ``stop-2 leak``.
    element : str
        Lead, joint, contact or part.
    kind : str
        What happened to it.
    words : str
        A sentence part for people: "stop-2 leaks to frame".
    changes : tuple of Change
        What it does to the circuit; a value of -1 stands for the severity.
    low, high : float
        Bounds of the severity (ohm or factor); both nought where there is none.
    rate : float
        Relative rate.
    look : float
        Chance that a close look at the element shows it.
    mend : Mend
        What puts it right.
    moves_at : str
        Place at which moving the wiring brings it out; "" for a steady fault.
    place : str
        Where one would look for it.
    other : str
        The second lead or cavity of two that touch, leak to each other or are crossed; "" where it lies on one.
    """

    id: str
    element: str
    kind: str
    words: str
    changes: tuple[Change, ...]
    low: float
    high: float
    rate: float
    look: float
    mend: Mend
    moves_at: str = ""
    place: str = ""
    other: str = ""

    def lies_on(self, element: str) -> bool:
        """Say whether whoever looks at an element looks at it.

        Parameters
        ----------
        element : str
            Lead, joint, contact or part; a lead's joints and a part's contacts are looked at with it.

        Returns
        -------
        bool
            True for both of two that touch or are crossed.
        """
        return element in {name for own in (self.element, self.other) for name in (own, own.partition(".")[0])}

    def shows(self, element: str) -> float:
        """Give the chance that a close look at an element shows it.

        Parameters
        ----------
        element : str
            As in ``lies_on``.

        Returns
        -------
        float
            Nought where the fault does not lie on it.
        """
        return self.look if self.lies_on(element) else 0.0

    def mended_by(self, mend: str) -> bool:
        """Say whether a mend puts it right.

        Parameters
        ----------
        mend : str
            Id of a mend.

        Returns
        -------
        bool
            True for its own mend, and where either renews a lead that the other renews: two leads that touch through
            their insulation are apart when one of them is new.
        """
        return mend == self.mend.id or not _renewed(self.mend.id).isdisjoint(_renewed(mend))


def _renewed(mend: str) -> frozenset[str]:
    """What a mend renews; nothing where it is no renewal."""
    names = mend.removeprefix("renew ")
    return frozenset(names.split(" and ")) if names != mend else frozenset()
