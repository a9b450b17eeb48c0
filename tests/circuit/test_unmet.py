"""Where a load is not fed although all is sound, the finding says what is open, or what takes the volts."""

from __future__ import annotations

import pytest

from ohmtrail import workbench

TEXT = """\
harness: pump
places: {box: {reach: 1 min}}
parts:
  battery: {kind: battery, at: box}
  key: {kind: switch, at: box, rests: off, positions: {off: [], on: [[30, 15]]}}
  pump: {kind: motor, at: box, resistance: 1 Ω, between: [15, 31]}
leads:
  feed: {from: battery.+, to: key.30, size: 4 mm2, length: 1 m}
  live: {from: key.15, to: pump.15, size: 4 mm2, length: 1 m}
  back: {from: pump.31, to: frame, size: 4 mm2, length: 1 m}
  minus: {from: battery.-, to: frame, size: 4 mm2, length: 1 m}
functions:
  pumps: {when: {key: on}, needs: [{works: pump}]}
"""


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("when: {key: on}", "when: {key: off}", "the way is open at key (key at off): set it in 'when:'"),
        ("live: {from: key.15, to: pump.15, size: 4 mm2, length: 1 m}", "live: {from: key.15, to: pump.15, size: 0.01 mm2}", "most volts stay in live (5.72 V, 0.01 mm², 0.5 m, assumed)"),
        ("kind: battery, at: box", "kind: battery, at: box, resistance: 1 Ω", "most volts stay in battery (6.18 V)"),
        ("needs: [{works: pump}]", "needs: [{dc: [pump.31, pump.15], at_least: 8 V}]", "the wrong way round: write 'dc: [pump.15, pump.31]'"),
        ("  back: {from: pump.31, to: frame, size: 4 mm2, length: 1 m}\n", "", "no current gets there: check that every terminal on its way has its lead"),
    ],
)
def test_the_remedy_says_where_the_volts_stay(right: str, wrong: str, said: str) -> None:
    """An open switch, a thin lead, a tired battery, a lead that is not there."""
    assert right in TEXT
    found = workbench.check("pump.yaml", text=TEXT.replace(right, wrong))
    remedies = [item.remedy for item, _, _ in found.findings if item.code == "unmet"]
    assert len(remedies) == 1
    assert said in remedies[0]
