"""Comparing on the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
OUTBOARD = str(ROOT / "circuits" / "outboard.yaml")


def test_two_files_are_compared_by_id_and_by_electricity(typed: Callable[..., Any]) -> None:
    """Volts and amps before and after stand in the text and in the JSON; a bare file has nothing to be compared with."""
    text = Path(OUTBOARD).read_text(encoding="utf-8")
    Path("thin.yaml").write_text(text.replace("watts: 10 W", "watts: 21 W"), encoding="utf-8")
    ran = typed("compare", OUTBOARD, "thin.yaml")
    assert ran.status == 0
    assert "part lantern changed: watts 10 W → 21 W" in ran.out
    made = typed("compare", OUTBOARD, "thin.yaml", "--json").made
    assert not made["same"]
    (load,) = [item for item in made["loads"] if item["function"] == "lantern-light" and item["own"]]
    assert load["after"]["amps"] > 1.9 * load["before"]["amps"]
    assert "nothing differs" in typed("compare", OUTBOARD, OUTBOARD).out
    assert typed("compare", OUTBOARD).status == 2
    assert "there is no file" in typed("compare", OUTBOARD, "nowhere.yaml").err
