"""Where every key and value of a YAML text begins and ends, so that single values can be replaced in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

__all__ = ["Span", "spans_of"]

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass
class Span:
    """One value of a text.

    Attributes
    ----------
    start, end : int
        Characters of the value itself; a block ends with the last thing in it.
    flow : bool
        Whether it is a mapping or list in braces or brackets.
    keys : dict
        For a mapping: key -> where the key begins, and its value.
    """

    start: int
    end: int
    flow: bool = False
    keys: dict[str, tuple[int, Span]] = field(default_factory=dict)


def spans_of(text: str) -> Span:
    """Find the places of all values of a document.

    Parameters
    ----------
    text : str
        A YAML document that `ohmtrail.harness.text.read_tree` accepts.

    Returns
    -------
    Span
        Of the whole document.
    """
    events = yaml.parse(text, Loader=_LOADER)
    for event in events:
        if isinstance(event, yaml.NodeEvent):
            return _span(text, event, events)
    return Span(0, 0)


def _span(text: str, event: yaml.NodeEvent, events: Iterator[yaml.Event]) -> Span:
    start, end = _marks(event)
    if isinstance(event, yaml.MappingStartEvent):
        return _mapping(text, event, events)
    if isinstance(event, yaml.SequenceStartEvent):
        return _sequence(text, event, events)
    return Span(start, start + len(text[start:end].rstrip()))


def _marks(event: yaml.Event) -> tuple[int, int]:
    assert event.start_mark is not None
    assert event.end_mark is not None
    return event.start_mark.index, event.end_mark.index


def _mapping(text: str, event: yaml.MappingStartEvent, events: Iterator[yaml.Event]) -> Span:
    made = Span(_marks(event)[0], _marks(event)[1], flow=bool(event.flow_style))
    for key in events:
        if isinstance(key, yaml.MappingEndEvent):
            if made.flow:
                made.end = _marks(key)[1]
            return made
        assert isinstance(key, yaml.ScalarEvent)
        value = next(events)
        assert isinstance(value, yaml.NodeEvent)
        span = _span(text, value, events)
        made.keys[key.value] = (_marks(key)[0], span)
        made.end = max(made.end, span.end, _marks(key)[1])
    return made


def _sequence(text: str, event: yaml.SequenceStartEvent, events: Iterator[yaml.Event]) -> Span:
    made = Span(_marks(event)[0], _marks(event)[1], flow=bool(event.flow_style))
    for item in events:
        if isinstance(item, yaml.SequenceEndEvent):
            if made.flow:
                made.end = _marks(item)[1]
            return made
        assert isinstance(item, yaml.NodeEvent)
        made.end = max(made.end, _span(text, item, events).end)
    return made
