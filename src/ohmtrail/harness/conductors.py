"""What a lead is made of: resistance, permitted maxima, guide to current.

A lead's resistance is computed from its nominal area and solid annealed copper (stranding factor 1). The
maxima that the standards permit lie higher, because strands are twisted and areas are nominal: for IEC
60228 class 5 by a factor of 1.107 to 1.158 (`stranding_band`).
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from types import MappingProxyType

from ohmtrail.errors import UnknownName
from ohmtrail.harness.tables import Points, line, loglog, positive, rows

__all__ = [
    "class5_maximum_ohm_per_m",
    "guide_current_a",
    "guide_current_basis",
    "iso6722_maximum_ohm_per_m",
    "materials",
    "resistance_ohm_per_m",
    "sae_area_mm2",
    "stranding_band",
]

_SIZE = "a conductor size in mm2 above zero"
#: A circular mil in square millimetre; 1 inch is 25.4 mm by definition.
_CMIL_MM2 = math.pi / 4.0 * 0.0254**2
_REFERENCE_C = 20.0


@functools.cache
def materials() -> Mapping[str, tuple[float, float]]:
    """Give the conductor materials.

    Returns
    -------
    mapping of str to (float, float)
        Resistivity at 20 °C in ohm square millimetre per metre, and its rise per kelvin.

    References
    ----------
    Copper: IEC 60028; the others as named in ``data/conductors.yaml``.
    """
    return MappingProxyType(
        {
            row["material"]: (float(row["resistivity_ohm_mm2_per_m"]), float(row["alpha_per_k"]))
            for row in rows("conductors", "materials")
        }
    )


def resistance_ohm_per_m(size_mm2: float, *, material: str = "copper", temperature_c: float = 20.0) -> float:
    """Give the resistance of a conductor of nominal area.

    Parameters
    ----------
    size_mm2 : float
        Nominal area, square millimetre.
    material : str
        One of `materials`.
    temperature_c : float
        Of the conductor, degree Celsius.

    Returns
    -------
    float
        Ohm per metre.

    Raises
    ------
    UnknownName
        No such material.
    QuantityError
        The size is not above zero.

    Notes
    -----
    ``rho20 / size * (1 + alpha (T - 20))``, stranding factor 1; see `stranding_band`.

    References
    ----------
    IEC 60028 for copper.

    Examples
    --------
    >>> round(resistance_ohm_per_m(1.0) * 1000, 2)
    17.24
    """
    known = materials()
    if material not in known:
        raise UnknownName("conductor material", material, known)
    resistivity, alpha = known[material]
    return resistivity / positive(size_mm2, _SIZE) * (1.0 + alpha * (temperature_c - _REFERENCE_C))


def stranding_band() -> tuple[float, float]:
    """Give how far the permitted maximum lies above the nominal-area resistance.

    Returns
    -------
    tuple of float
        Least and most factor, sizes 0.5 to 25 square millimetre.

    References
    ----------
    IEC 60228:2004 table 3, class 5, over ``1000 / 58 / size``.
    """
    (row,) = rows("conductors", "stranding")
    return float(row["least"]), float(row["most"])


@functools.cache
def _column(table: str, column: str) -> Mapping[float, float]:
    """One column of a table by size."""
    found = {float(row["size_mm2"]): float(row[column]) for row in rows("conductors", table)}
    return MappingProxyType(found)


def _milliohm(table: str, column: str, size_mm2: float) -> float:
    """Row of a size, within a thousandth; in ohm per metre."""
    column_by_size = _column(table, column)
    for size, milliohm in column_by_size.items():
        if math.isclose(size, size_mm2, rel_tol=1e-3):
            return milliohm / 1000.0
    known = sorted(column_by_size, key=lambda size: abs(size - size_mm2))[:3]
    raise UnknownName("standard size", f"{size_mm2:g} mm2", [f"{size:g} mm2" for size in sorted(known)])


def class5_maximum_ohm_per_m(size_mm2: float, *, material: str = "copper") -> float:
    """Give the most resistance that IEC 60228 permits a flexible (class 5) conductor at 20 °C.

    Parameters
    ----------
    size_mm2 : float
        A standard size from 0.5 to 25 square millimetre.
    material : str
        ``copper`` or ``tinned copper``.

    Returns
    -------
    float
        Ohm per metre.

    Raises
    ------
    UnknownName
        Not in the table.

    References
    ----------
    IEC 60228:2004 table 3.

    Examples
    --------
    >>> round(class5_maximum_ohm_per_m(1.5) * 1000, 2)
    13.3
    """
    if material not in ("copper", "tinned copper"):
        raise UnknownName("conductor material", material, ("copper", "tinned copper"))
    return _milliohm("class5", material, size_mm2)


def iso6722_maximum_ohm_per_m(size_mm2: float) -> float:
    """Give the most resistance that ISO 6722 permits a road-vehicle cable at 20 °C.

    Parameters
    ----------
    size_mm2 : float
        A standard size from 0.22 to 50 square millimetre; those below 1 are from memory.

    Returns
    -------
    float
        Ohm per metre.

    Raises
    ------
    UnknownName
        Not in the table.

    References
    ----------
    DIN ISO 6722 part 3.

    Examples
    --------
    >>> round(iso6722_maximum_ohm_per_m(2.5) * 1000, 2)
    7.6
    """
    return _milliohm("vehicle_cable", "max_mohm_per_m", size_mm2)


@functools.cache
def _current_points(column: str) -> Points:
    return tuple(_column("guide_current", column).items())


def guide_current_a(size_mm2: float, ambient_c: float = 30.0) -> float:
    """Give a guide to the current that a single PVC-covered lead carries for hours.

    Parameters
    ----------
    size_mm2 : float
        Nominal area of copper, square millimetre. Below 1 the table is continued, see
        `guide_current_basis`.
    ambient_c : float
        Air around the lead, degree Celsius.

    Returns
    -------
    float
        Ampere; 0 where the air alone is as hot as the insulation may be.

    Raises
    ------
    QuantityError
        The size is not above zero.

    Notes
    -----
    Straight lines on log-log paper between sizes; between 30 and 50 °C, and on beyond them, the square of
    the current falls evenly, as the heat that can be given off does. Leads in a bundle carry less.

    References
    ----------
    DIN ISO 6722 part 3 with DIN VDE 0298 part 4.

    Examples
    --------
    >>> round(guide_current_a(2.5), 1), round(guide_current_a(2.5, 50.0), 1)
    (32.0, 22.7)
    """
    positive(size_mm2, _SIZE)
    at_30, at_50 = (loglog(size_mm2, _current_points(name)) for name in ("at_30_c", "at_50_c"))
    return math.sqrt(max(0.0, line(ambient_c, ((30.0, at_30**2), (50.0, at_50**2)))))


def guide_current_basis(size_mm2: float, ambient_c: float = 30.0) -> str:
    """Say what the guide current of a size rests on.

    Parameters
    ----------
    size_mm2 : float
        Square millimetre.
    ambient_c : float
        Degree Celsius.

    Returns
    -------
    str
        ``table``, ``interpolated`` or ``extrapolated``.

    Examples
    --------
    >>> guide_current_basis(2.5), guide_current_basis(2.0), guide_current_basis(0.75)
    ('table', 'interpolated', 'extrapolated')
    """
    sizes = tuple(_column("guide_current", "at_30_c"))
    if not (sizes[0] <= size_mm2 <= sizes[-1] and 30.0 <= ambient_c <= 50.0):
        return "extrapolated"
    return "table" if size_mm2 in sizes and ambient_c in (30.0, 50.0) else "interpolated"


def sae_area_mm2(gauge: int) -> float:
    """Give the least area of a cable in SAE gauge, smaller than the AWG of the same number.

    Parameters
    ----------
    gauge : int
        4 to 18, even.

    Returns
    -------
    float
        Square millimetre.

    Raises
    ------
    UnknownName
        Not in the table.

    References
    ----------
    SAE J1128 as a marine wire catalogue has it.

    Examples
    --------
    >>> round(sae_area_mm2(12), 2)
    2.96
    """
    areas = {row["gauge"]: float(row["area_cmil"]) for row in rows("conductors", "sae_gauge")}
    if str(gauge) not in areas:
        raise UnknownName("SAE gauge", str(gauge), areas)
    return areas[str(gauge)] * _CMIL_MM2
