"""New values written over the text of a harness file: what stays the same keeps its lines and its comments."""

from __future__ import annotations

from dataclasses import dataclass, field

from ohmtrail.changes.flow import WIDTH, flow, scalar, wrapped
from ohmtrail.changes.spans import Span, spans_of
from ohmtrail.errors import Bug
from ohmtrail.harness.text import Plain, read_tree

__all__ = ["rewritten"]

Mapping_ = dict[str, Plain]
#: columns by which a section's elements stand in, where there is none to go by
_STEP = 2


@dataclass
class _Edits:
    """Pieces of the old text to be replaced, each (start, end, new text)."""

    text: str
    made: list[tuple[int, int, str]] = field(default_factory=list)

    def put(self, start: int, end: int, new: str) -> None:
        self.made.append((start, end, new))

    def done(self) -> str:
        """The text with all of them; insertions at one place keep their order."""
        pieces, at = [], 0
        for start, end, new in sorted(self.made, key=lambda item: (item[0], item[1])):
            pieces += [self.text[at:start], new]
            at = max(at, end)
        return "".join([*pieces, self.text[at:]])


def rewritten(text: str, data: Mapping_) -> str:
    """Write a harness's new values over its old text.

    Parameters
    ----------
    text : str
        The harness file as it was.
    data : dict
        The values that the file shall have.

    Returns
    -------
    str
        The text with only the changed values changed: elements that go take their lines with them, new ones
        come at the end of their section, and everything else stands as it stood, comments included.

    Raises
    ------
    Bug
        The new text would not read back as the values wanted; nothing of it is given.

    Notes
    -----
    Cost: one pass over the text, whatever the number of changes that led to the values.
    """
    old = read_tree(text, file="harness").data
    if old == data:
        return text
    if not isinstance(old, dict):
        raise Bug("a harness that is no mapping cannot be rewritten")
    body = text if text.endswith("\n") else f"{text}\n"
    edits = _Edits(body)
    _mapping(edits, spans_of(body), old, data, top=True)
    made = edits.done()
    if read_tree(made, file="harness").data != data:
        raise Bug("the changed harness would not read back as it should")
    return made


def _mapping(edits: _Edits, span: Span, old: Mapping_, new: Mapping_, *, top: bool = False) -> None:
    """Bring one mapping of the text to its new values."""
    gone = [key for key in old if key not in new]
    if len(gone) == len(old) or (span.flow and gone):
        _replace(edits, span, new)
        return
    for key in gone:
        _cut(edits, *_entry(span, key))
    for key, value in old.items():
        if key in new and new[key] != value:
            _value(edits, span, key, value, new[key])
    fresh = {key: value for key, value in new.items() if key not in old}
    if fresh:
        _add(edits, span, fresh, top=top)


def _entry(span: Span, key: str) -> tuple[int, int]:
    start, value = span.keys[key]
    return start, value.end


def _value(edits: _Edits, span: Span, key: str, old: Plain, new: Plain) -> None:
    """One value that differs."""
    held = span.keys[key][1]
    if isinstance(old, dict) and isinstance(new, dict) and held.keys:
        _mapping(edits, held, old, new)
    elif held.start == held.end:  # the key had nothing behind it
        edits.put(held.end, held.end, f" {flow(new)}")
    else:
        edits.put(held.start, held.end, flow(new))


def _replace(edits: _Edits, span: Span, new: Mapping_) -> None:
    """A mapping that is written anew as a whole, in braces."""
    column = _column(edits.text, span.start)
    lead = "" if span.flow else "  "
    edits.put(span.start, span.end, lead + wrapped(new, column + len(lead)).lstrip())


def _cut(edits: _Edits, start: int, end: int) -> None:
    """Take an element of a block out with its lines."""
    first = edits.text.rfind("\n", 0, start) + 1
    last = edits.text.find("\n", end) + 1
    edits.put(first, last, "")


def _add(edits: _Edits, span: Span, fresh: Mapping_, *, top: bool) -> None:
    """New keys at the end of a mapping; single values of the machine itself follow its name."""
    if span.flow:
        _add_in_braces(edits, span, fresh)
        return
    column = _column(edits.text, min(start for start, _ in span.keys.values()))
    single: Mapping_ = {key: value for key, value in fresh.items() if top and not isinstance(value, dict)}
    if single:
        _insert(edits, min(value.end for _, value in span.keys.values()), single, column)
    more = {key: value for key, value in fresh.items() if key not in single}
    if more:
        _insert(edits, span.end, more, column, apart=top)


def _insert(edits: _Edits, end: int, fresh: Mapping_, column: int, *, apart: bool = False) -> None:
    """Lines after the line on which something ends."""
    at = edits.text.find("\n", end) + 1
    lines = [_block_entry(key, value, column) for key, value in fresh.items()]
    edits.put(at, at, ("\n" if apart else "") + "".join(f"{line}\n" for line in lines))


def _add_in_braces(edits: _Edits, span: Span, fresh: Mapping_) -> None:
    """New keys behind the last one, on a new line where that one is full."""
    pieces = ", ".join(f"{scalar(key)}: {flow(value)}" for key, value in fresh.items())
    if not span.keys:
        edits.put(span.start + 1, span.start + 1, pieces)
        return
    at = max(value.end for _, value in span.keys.values())
    full = _column(edits.text, at) + len(pieces) + 3 > WIDTH
    edits.put(at, at, f",\n{' ' * (_column(edits.text, span.start) + 1)}{pieces}" if full else f", {pieces}")


def _block_entry(key: str, value: Plain, column: int) -> str:
    """One entry of a block mapping: a scalar on its line, an element in braces below its id."""
    pad = " " * column
    if not isinstance(value, dict):
        return f"{pad}{scalar(key)}: {flow(value)}"
    if value and all(isinstance(item, dict) for item in value.values()):
        inner = [_block_entry(name, item, column + _STEP) for name, item in value.items()]
        return "\n".join([f"{pad}{scalar(key)}:", *inner])
    line = f"{pad}{scalar(key)}: {flow(value)}"
    return line if len(line) <= WIDTH else f"{pad}{scalar(key)}:\n{wrapped(value, column + _STEP)}"


def _column(text: str, at: int) -> int:
    return at - (text.rfind("\n", 0, at) + 1)
