"""A finding about a usable harness: what checks return."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Finding"]


@dataclass(frozen=True)
class Finding:
    """One thing about a usable harness that a person should look at.

    Attributes
    ----------
    code : str
        Short name of the kind of finding, such as ``dead-end``.
    path : tuple of str or int
        Keys in the file, for `ohmtrail.harness.text.Tree.where`.
    sentence : str
        What was found, with ids and values.
    remedy : str
        What to do about it.
    serious : bool
        Whether the machine as described cannot work or is not safe.
    shared : str
        Id of the one thing that several findings of a kind are about, such as the fuse of six leads: they are told as
        one, the first in full.
    """

    code: str
    path: tuple[str | int, ...]
    sentence: str
    remedy: str
    serious: bool = False
    shared: str = ""
