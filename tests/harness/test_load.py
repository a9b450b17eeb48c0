"""What is no harness file at all is told so, with what to do."""

from __future__ import annotations

import pytest

from ohmtrail.errors import HarnessError
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import read_tree


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("record: Skerry, restored\nversion: 1\nover: outboard.yaml\nchanges: []\n", "this is a record of changes, not a harness file; write the harness as it is now with 'ohmtrail changes apply a.record -o machine.yaml'"),
        ("[]\n", "begin with 'harness: NAME'"),
    ],
)
def test_another_file_is_named(text: str, said: str) -> None:
    """One mistake, not one for every key."""
    with pytest.raises(HarnessError) as caught:
        parse_harness(read_tree(text, file="a.record"))
    assert len(caught.value.mistakes) == 1
    assert said in str(caught.value)
