"""The rehearse command."""

from pathlib import Path
from typing import Any

import pytest

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")
LITTLE = ("--function", "stop by lanyard", "--count", "1", "--pairs", "1", "--no-every", "--reduced", "4", "--jobs", "1")


def test_a_rehearsal_is_told_and_given_as_json(typed: Any) -> None:
    """Every way stands beside the others, calibration and pairs below; JSON has each job; no bar without a terminal."""
    ran = typed("rehearse", MACHINE, *LITTLE)
    assert (ran.status, ran.err) == (0, "")
    for words in ("printed chart", "bits a minute", "right when named", "said of the first mend", "Two faults at once: 1 jobs", "4 small problems", "entropy bound"):
        assert words in ran.out
    made = typed("rehearse", MACHINE, *LITTLE, "--json").made["rehearsal"]
    assert made["functions"] == ["stop-by-lanyard"]
    assert [job["way"] for job in made["jobs"] if job["set"] == "rates"] == ["search", "chart", "rate"]
    assert made["sets"][0]["figures"]["search"]["jobs"] == 1
    assert made["pairs"]["jobs"] == 1
    assert len(made["reduced"]) == 4
    assert all(item["bound"] <= item["least"] <= item["search"] for item in made["reduced"])
    assert made["unnoticed"] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--function", "horn"), "horn"),
        (("--unreachable", "tilller"), "tiller"),
        (("--count", "0", "--pairs", "0", "--reduced", "0", "--no-every"), "nothing to rehearse"),
        (("--count", "-1"), "'--count'"),
    ],
)
def test_what_cannot_be_rehearsed_is_refused_in_a_sentence(typed: Any, words: tuple[str, ...], said: str) -> None:
    """The wrong word is named, with the nearest right one where there is one."""
    ran = typed("rehearse", MACHINE, *words)
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err
