"""What is wanted by one typed line."""

import pytest

from ohmtrail.grammar import Said, read_answer


@pytest.mark.parametrize(
    ("line", "verb", "rest"),
    [
        ("12.4", "read", "12.4"),
        ("ol", "read", "ol"),
        ("no spark", "read", "no spark"),
        ("Skip", "skip", ""),
        ("can't reach", "bar", ""),
        ("can’t get at steering head", "bar", "steering head"),
        ("cannot reach under-tank", "bar", "under-tank"),
        ("can reach under-tank", "unbar", "under-tank"),
        ("why?", "why", ""),
        ("why stop-2", "why", "stop-2"),
        ("undo", "undo", ""),
        ("done.", "done", ""),
        ("mend renew stop-2", "mend", "renew stop-2"),
        ("strike 3 because the probe slipped", "strike", "3 because the probe slipped"),
        ("strike that", "read", "strike that"),
        ("", "again", ""),
        ("?", "help", ""),
        ("quit", "quit", ""),
        ("stop-by-button fails", "read", "stop-by-button fails"),
        ("note can't reach the plug yet", "read", "note can't reach the plug yet"),
    ],
)
def test_verbs(line: str, verb: str, rest: str) -> None:
    """A verb of its own with what follows it; all else is a reading."""
    assert read_answer(line) == Said(verb, rest)  # type: ignore[arg-type]
