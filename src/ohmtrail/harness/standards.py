"""Standard tables: conductors, colours, terminals, fuses, lamps, batteries, meters, permitted drops.

The one door to all of them. The numbers stand in ``data``, each row with its source and how sure it is;
`rows` gives them as text.
"""

from ohmtrail.harness.conductors import (
    class5_maximum_ohm_per_m,
    guide_current_a,
    guide_current_basis,
    iso6722_maximum_ohm_per_m,
    materials,
    resistance_ohm_per_m,
    sae_area_mm2,
    stranding_band,
)
from ohmtrail.harness.devices import (
    filament_resistance_ohm,
    lamp_band,
    rested_volts,
)
from ohmtrail.harness.drops import (
    DropLimit,
    drop_limits,
    size_for_drop_mm2,
)
from ohmtrail.harness.fuses import (
    blade_colour,
    blade_ratings_a,
    fuse_kinds,
    fuse_resistance_ohm,
    opening_band_s,
    standard_fuse_ratings_a,
)
from ohmtrail.harness.markings import (
    Colour,
    colour_names,
    old_terminal_codes,
    parse_colour,
    screen_colour,
    terminal_meaning,
    terminal_meanings,
)
from ohmtrail.harness.meter_tables import (
    MeterAccuracy,
    MeterFact,
    accuracy_half_width,
    meter_accuracy,
    meter_fact,
)
from ohmtrail.harness.tables import (
    CONFIDENCE,
    rows,
)

__all__ = [
    "CONFIDENCE",
    "Colour",
    "DropLimit",
    "MeterAccuracy",
    "MeterFact",
    "accuracy_half_width",
    "blade_colour",
    "blade_ratings_a",
    "class5_maximum_ohm_per_m",
    "colour_names",
    "drop_limits",
    "filament_resistance_ohm",
    "fuse_kinds",
    "fuse_resistance_ohm",
    "guide_current_a",
    "guide_current_basis",
    "iso6722_maximum_ohm_per_m",
    "lamp_band",
    "materials",
    "meter_accuracy",
    "meter_fact",
    "old_terminal_codes",
    "opening_band_s",
    "parse_colour",
    "resistance_ohm_per_m",
    "rested_volts",
    "rows",
    "sae_area_mm2",
    "screen_colour",
    "size_for_drop_mm2",
    "standard_fuse_ratings_a",
    "stranding_band",
    "terminal_meaning",
    "terminal_meanings",
]
