"""Direct current: published circuits as harnesses, to the digits that are printed."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from ohmtrail.circuit import Change, Mode

#: two leads of 11 mΩ each, joints included
WIRING_OHM = 0.022


def test_an_element_is_its_part_and_its_wiring(bench: Any) -> None:
    """Part, two leads and four joints: 1 Ω = 0.978 + 2 (0.001 + 2 x 0.005)."""
    made = bench({"V1": ("1", "0", 12.0)}, {"R1": ("1", "0", 1.0)}, {"W1": ("1", "0", 0.5)})
    owned = {"R1": ("R1", "R1-1", "R1-2"), "W1": ("W1",)}
    for name, ohm in (("R1", 1.0), ("W1", 0.5)):
        branches = [item for item in made.electrics.network.branches if item.owner in owned[name]]
        assert sum(item.ohm for item in branches if item.kind != "insulation") == pytest.approx(ohm, abs=1e-12)


def test_two_sources(bench: Any, printed: Any) -> None:
    """28 V and 7 V: 8 V between them, 5 A, 4 A and 1 A into the weaker; each source's own share adds up."""
    sources = {"V1": ("1", "0", 28.0), "V2": ("3", "0", 7.0)}
    resistors = {"R1": ("1", "2", 4.0), "R2": ("2", "0", 2.0), "R3": ("2", "3", 1.0)}
    made = bench(sources, resistors, carried={"R3": WIRING_OHM})
    assert made.volts("2") == printed("8.000")
    assert made.volts("1", "2") == printed("20.000")
    assert made.volts("2") - 7.0 == printed("1.000")
    assert [made.amps(name) for name in resistors] == [printed("5.000"), printed("4.000"), printed("1.000")]
    first, second = (Change(Mode.EMF, name, value=0.0) for name in ("V2", "V1"))
    assert [made.amps(name, (first,)) * ohm for name, (_, _, ohm) in resistors.items()] == [
        printed("24.00"),
        printed("4.00"),
        printed("4.00"),
    ]
    assert [made.amps(name, (second,)) * ohm for name, (_, _, ohm) in resistors.items()] == [
        printed("-4.00"),
        printed("4.00"),
        printed("-3.00"),
    ]


def test_a_bridge_out_of_balance(bench: Any, printed: Any) -> None:
    """24 V on five resistors: both middle nodes, every current, what the source gives."""
    resistors = {
        "R1": ("1", "2", 150.0),
        "R2": ("1", "3", 50.0),
        "R3": ("3", "2", 100.0),
        "R4": ("2", "0", 300.0),
        "R5": ("3", "0", 250.0),
    }
    made = bench({"V1": ("1", "0", 24.0)}, resistors)
    assert made.volts("2") == printed("17.655")
    assert made.volts("3") == printed("19.310")
    assert made.volts("3", "2") == printed("1.655")
    told = ("42.299", "93.793", "16.552", "58.851", "77.241")
    assert [made.amps(name) for name in resistors] == [printed(figure, unit=1e-3) for figure in told]
    assert -made.amps("V1") == printed("136.092", unit=1e-3)
    assert made.ohms("1", "0") == printed("176.35")


def test_series_parallel(bench: Any, printed: Any) -> None:
    """24 V over 100 Ω beside 250 Ω, then 350 Ω beside 200 Ω."""
    resistors = {
        "R1": ("1", "2", 100.0),
        "R2": ("1", "2", 250.0),
        "R3": ("2", "0", 350.0),
        "R4": ("2", "0", 200.0),
    }
    made = bench({"V1": ("1", "0", 24.0)}, resistors)
    assert made.volts("1", "2") == printed("8.627")
    assert made.volts("2") == printed("15.37")
    told = ("86.27", "34.51", "43.92", "76.86")
    assert [made.amps(name) for name in resistors] == [printed(figure, unit=1e-3) for figure in told]


@pytest.mark.parametrize(
    ("volts", "kilohms", "amps", "drops"),
    [
        (45.0, (5, 10, 7.5), "2.000", ("10.00", "20.00", "15.00")),
        (180.0, (5, 10, 7.5), "8.000", ("40.00", "80.00", "60.00")),
        (9.0, (3, 10, 5), "0.500", ("1.50", "5.00", "2.50")),
    ],
)
def test_dividers(
    bench: Any, printed: Any, volts: float, kilohms: tuple[float, ...], amps: str, drops: tuple[str, ...]
) -> None:
    """Three in series: one current, volts in proportion."""
    resistors = {f"R{i}": (str(i), str((i + 1) % 4), 1e3 * ohm) for i, ohm in enumerate(kilohms, 1)}
    made = bench({"V1": ("1", "0", volts)}, resistors)
    assert made.amps("R1") == printed(amps, unit=1e-3)
    assert [made.volts(a, b) for a, b, _ in resistors.values()] == [printed(drop) for drop in drops]


def test_three_in_parallel(bench: Any, printed: Any) -> None:
    """9 V on 10, 2 and 1 kΩ side by side."""
    made = bench({"V1": ("1", "0", 9.0)}, {"R1": ("1", "0", 1e4), "R2": ("1", "0", 2e3), "R3": ("1", "0", 1e3)})
    assert [made.amps(name) for name in ("R1", "R2", "R3")] == [
        printed("0.900", unit=1e-3),
        printed("4.500", unit=1e-3),
        printed("9.000", unit=1e-3),
    ]


def test_one_six_and_thirteen_ohms_in_series(bench: Any, printed: Any) -> None:
    """12 V: 0.600 A, 0.600 V, 3.60 V and 7.80 V, 7.20 W."""
    resistors = {"R1": ("1", "2", 1.0), "R2": ("2", "3", 6.0), "R3": ("3", "0", 13.0)}
    made = bench({"V1": ("1", "0", 12.0)}, resistors)
    assert made.amps("R1") == printed("0.600")
    assert [made.volts(a, b) for a, b, _ in resistors.values()] == [printed("0.600"), printed("3.60"), printed("7.80")]
    assert 12.0 * made.amps("R1") == printed("7.20")


def test_one_six_and_thirteen_ohms_in_parallel(bench: Any, printed: Any) -> None:
    """12 V: 0.804 Ω, 12.0 A, 2.00 A and 0.92 A, together 14.92 A and 179 W."""
    made = bench({"V1": ("1", "0", 12.0)}, {"R1": ("1", "0", 1.0), "R2": ("1", "0", 6.0), "R3": ("1", "0", 13.0)})
    assert made.ohms("1", "0") == printed("0.804")
    assert [made.amps(name) for name in ("R1", "R2", "R3")] == [printed("12.0"), printed("2.00"), printed("0.92")]
    assert -made.amps("V1") == printed("14.92")
    assert -12.0 * made.amps("V1") == printed("179")


def test_a_wire_before_two_resistors(bench: Any, printed: Any) -> None:
    """12 V over a wire of 1 Ω to 6 Ω beside 13 Ω: 5.11 Ω, 2.35 A, 2.35 V lost, 9.65 V and 15.5 W left."""
    made = bench(
        {"V1": ("1", "0", 12.0)}, {"R2": ("2", "0", 6.0), "R3": ("2", "0", 13.0)}, {"wire": ("1", "2", 1.0)}
    )
    assert made.ohms("1", "0") == printed("5.11")
    assert made.amps("wire") == printed("2.35")
    assert made.volts("1", "2") == printed("2.35")
    assert made.volts("2") == printed("9.65")
    assert made.amps("R2") == printed("1.61")
    assert made.volts("2") * made.amps("R2") == printed("15.5")


@pytest.mark.parametrize(
    ("own", "load", "amps", "volts", "watts"),
    [
        (0.1, 10.0, "1.188", "11.9", None),
        (0.1, 0.5, "20.0", "10.0", "200"),
        (0.5, 0.5, "12.0", "6.00", "72.0"),
    ],
)
def test_a_battery_with_a_resistance_of_its_own(
    bench: Any, printed: Any, own: float, load: float, amps: str, volts: str, watts: str | None
) -> None:
    """12.0 V behind 0.1 Ω and 0.5 Ω: what is left at the terminals under load, and the watts in it."""
    made = bench({"V1": ("1", "0", 12.0, own)}, {"load": ("1", "0", load)})
    assert made.amps("load") == printed(amps)
    assert made.volts("1") == printed(volts)
    if watts is not None:
        assert made.volts("1") * made.amps("load") == printed(watts)


def test_a_battery_loaded_and_shorted(bench: Any, printed: Any) -> None:
    """10 V behind 0.2 Ω: 8.333 A into 1 Ω; 50 A into a short, whose 10 mΩ of joints are the battery's here."""
    assert bench({"V1": ("1", "0", 10.0, 0.2)}, {"load": ("1", "0", 1.0)}).amps("load") == printed("8.333")
    short = bench({"V1": ("1", "0", 10.0, 0.189)}, wires={"short": ("1", "0", 0.011)})
    assert short.amps("short") == printed("50.00")


@pytest.mark.parametrize(
    ("volts", "own", "open_v", "loaded_v"),
    [(13.2, 0.1, "13.200", "13.187"), (13.0, 5.0, "13.000", "12.381"), (7.5, 50.0, "7.500", "5.000")],
)
def test_three_batteries_with_and_without_a_load(
    bench: Any, printed: Any, volts: float, own: float, open_v: str, loaded_v: str
) -> None:
    """A voltmeter alone tells them hardly apart; 100 Ω across them does."""
    assert bench({"V1": ("1", "0", volts, own)}, {"R1": ("1", "0", 1e9)}).volts("1") == printed(open_v)
    assert bench({"V1": ("1", "0", volts, own)}, {"R1": ("1", "0", 100.0)}).volts("1") == printed(loaded_v)


def test_three_sources(bench: Any, printed: Any) -> None:
    """Three branches between two nodes: 0.20 A and 0.30 A in, 0.50 A out, 1.09 W given and taken."""
    sources = {"V1": ("1", "0", 0.5), "V2": ("0", "4", 0.6), "V3": ("6", "0", 2.3)}
    resistors = {
        "R1": ("1", "2", 1.0),
        "R4": ("2", "x", 2.0),
        "R2": ("6", "7", 5.0),
        "R5": ("7", "8", 1.0),
        "R6": ("8", "x", 2.0),
        "R3": ("x", "4", 1.0),
    }
    made = bench(sources, resistors, carried={"R2": WIRING_OHM, "R3": WIRING_OHM})
    one, two, three = (made.amps(name) for name in ("R1", "R2", "R3"))
    assert [one, two, three] == [printed("0.200"), printed("0.300"), printed("0.500")]
    assert 3 * one - 8 * two == printed("-1.800")
    assert 8 * two + three == printed("2.900")
    assert 0.5 * one + 0.6 * three + 2.3 * two == printed("1.09")
    assert sum(abs(made.amps(name)) ** 2 * ohm for name, (_, _, ohm) in resistors.items()) == printed("1.09")


def test_two_sources_in_one_loop(bench: Any, printed: Any) -> None:
    """1.6 V and 1.4 V plus to plus: 0.6 mA, 0.4 mA, and 0.2 mA that flows back; 0.92 mW given and taken."""
    sources = {"V1": ("a", "0", 1.6), "V2": ("a", "y", 1.4)}
    resistors = {"R1": ("a", "x", 2e3), "R3": ("x", "y", 1e3), "R2": ("x", "0", 1e3)}
    made = bench(sources, resistors, carried={"R3": WIRING_OHM})
    assert made.volts("x") == printed("0.4000")
    one, back, two = (made.amps(name) for name in resistors)
    assert [one, two, back] == [printed(f"0.{digit}000", unit=1e-3) for digit in (6, 4, 2)]
    assert -1.6 * made.amps("V1") - 1.4 * made.amps("V2") == printed("0.920", unit=1e-3)
    assert abs(one) ** 2 * 2e3 + abs(back) ** 2 * 1e3 + abs(two) ** 2 * 1e3 == printed("0.920", unit=1e-3)


def test_a_cube_of_twelve_resistors(bench: Any) -> None:
    """From corner to opposite corner 5/6 of one of them."""
    corners = [f"{n:03b}" for n in range(8)]
    edges = [(a, b) for a in corners for b in corners if a < b and sum(x != y for x, y in zip(a, b, strict=True)) == 1]
    made = bench(resistors={f"R{i}": (a, b, 12.0) for i, (a, b) in enumerate(edges)})
    assert len(edges) == 12
    assert made.ohms("000", "111") == pytest.approx(10.0, rel=1e-7)


def test_a_bridge_in_balance(bench: Any, printed: Any) -> None:
    """R2 / R1 = 0.625 and R3 = 2500 Ω: no volts across it with 1.56 kΩ, the sign changes on either side.

    The insulation of the leads, 2 GΩ each, puts it out of balance by a few millionths of a volt.
    """

    def across(ohm: float) -> float:
        resistors = {"R1": ("1", "2", 1000.0), "R2": ("2", "0", 625.0), "R3": ("1", "3", 2500.0), "Rx": ("3", "0", ohm)}
        return float(bench({"V1": ("1", "0", 10.0)}, resistors).volts("2", "3").real)

    assert printed("1.56", unit=1e3) == 0.625 * 2500.0
    assert abs(across(1562.5)) < 5e-6
    assert across(1555.0) > 1e-3
    assert across(1570.0) < -1e-3


def test_ladders_are_ratios_of_fibonacci_numbers(bench: Any) -> None:
    """From memory: n sections of 1 Ω in series and 1 Ω across have 2, 5/3, 13/8, 34/21 ... Ω."""
    fibonacci = [1, 1]
    while len(fibonacci) < 16:
        fibonacci.append(sum(fibonacci[-2:]))
    ratios = [upper / lower for lower, upper in pairwise(fibonacci[1:])][::2]
    assert ratios[:4] == [2 / 1, 5 / 3, 13 / 8, 34 / 21]
    for count in range(1, 6):
        series = {f"s{i}": (str(i), str(i + 1), 1.0) for i in range(1, count + 1)}
        shunt = {f"p{i}": (str(i + 1), "0", 1.0) for i in range(1, count + 1)}
        made = bench(resistors=series | shunt)
        assert made.ohms("1", "0") == pytest.approx(ratios[count - 1], rel=1e-7)
