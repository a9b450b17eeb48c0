"""Current runs downwards, and sources in a loop do not cross their own leads."""

from collections.abc import Callable

from ohmtrail.drawing import draw_path
from ohmtrail.drawing.choose import choose_all
from ohmtrail.drawing.heights import heights
from ohmtrail.harness import FRAME, Harness

Counted = Callable[[str], tuple[int, int]]


def _many_lamps(count: int) -> Harness:
    """A battery and many lamps that share one earth point."""
    parts = {"battery": {"kind": "battery", "at": "bench"}, "S1": {"kind": "splice", "at": "bench"}, "E1": {"kind": "earth", "at": "bench"}}
    leads = {"feed": {"from": "battery.+", "to": "S1"}, "return": {"from": "battery.-", "to": "E1"}}
    for number in range(count):
        parts[f"lamp-{number}"] = {"kind": "lamp", "at": "bench", "watts": "5 W"}
        leads[f"to-{number}"] = {"from": "S1", "to": f"lamp-{number}.1"}
        leads[f"from-{number}"] = {"from": f"lamp-{number}.2", "to": "E1"}
    return Harness.model_validate({"harness": "lamps", "places": {"bench": {"reach": "1 min"}}, "parts": parts, "leads": leads})


def test_an_earth_point_stays_low_however_many_leads_meet_there() -> None:
    """Thirty returns on one bolt do not lift it above what they return from."""
    harness = _many_lamps(30)
    height = heights(harness, choose_all(harness))
    assert height[FRAME] == 0.0
    for number in range(30):
        assert height["S1"] > height[f"lamp-{number}.1"] > height[f"lamp-{number}.2"] > height["E1"]


def test_a_winding_with_both_ends_live_does_not_cross_its_own_leads(counted: Counted) -> None:
    """Both leads of a floating winding go down to the rectifier side by side."""
    harness = Harness.model_validate(
        {
            "harness": "charger",
            "places": {"bench": {"reach": "1 min"}},
            "parts": {
                "winding": {"kind": "winding", "at": "bench", "between": ["U", "V"], "resistance": "1 Ω", "volts": {"cranking": "3 V", "running": "20 V"}},
                "rectifier": {"kind": "rectifier", "at": "bench", "input": ["U", "V"], "output": ["B+", "31"]},
                "battery": {"kind": "battery", "at": "bench"},
                "E1": {"kind": "earth", "at": "bench"},
            },
            "leads": {
                "u": {"from": "winding.U", "to": "rectifier.U"},
                "v": {"from": "winding.V", "to": "rectifier.V"},
                "plus": {"from": "rectifier.B+", "to": "battery.+"},
                "minus": {"from": "rectifier.31", "to": "E1"},
                "return": {"from": "battery.-", "to": "E1"},
            },
            "functions": {"charge": {"when": {"engine": "running"}, "needs": [{"dc": ["battery.+", "battery.-"], "at_least": "13 V"}]}},
        }
    )
    assert counted(draw_path(harness, "charge"))[0] == 0
