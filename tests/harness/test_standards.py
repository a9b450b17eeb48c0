"""The one door to the standard tables."""

from ohmtrail.harness import (
    conductors,
    devices,
    drops,
    fuses,
    markings,
    meter_tables,
    standards,
)


def test_everything_public_comes_through_the_one_door() -> None:
    """Each table's public names are the door's, sorted, with the raw rows beside them."""
    rooms = (conductors, devices, drops, fuses, markings, meter_tables)
    names = [name for room in rooms for name in room.__all__]
    assert list(standards.__all__) == sorted([*names, "CONFIDENCE", "rows"])
    assert all(hasattr(standards, name) for name in names)
