"""No spark on the trail motorcycle: the generator's volts are gone at the module, and the stop lead eats them.

The covering of stop-2 is worn through at the steering head, 4 Ω to the frame.
"""

from __future__ import annotations

from worked import Worked, main

WORKED = Worked(
    name="no-spark",
    machine="trail-motorcycle",
    complaint="spark absent",
    readings=(
        "ac ignition-module.CH ignition-module.E 4.3 with ignition-switch on and engine cranking",
        "ohms module-plug.4a frame 4.6 with module-plug parted and battery off",
        "ohms head-plug.1b frame OL with module-plug mated and head-plug parted",
    ),
    mend="renew stop-2",
    proof=(
        "ac ignition-module.CH ignition-module.E 86 with head-plug mated and battery on and engine cranking",
        "spark works with engine cranking",
    ),
)

if __name__ == "__main__":
    main(WORKED)
