"""The ride-on mower does not crank: its start relay gets its volts and has no way back to the frame.

The lead start-5, from the relay to the earth point, is broken inside its covering.
"""

from __future__ import annotations

from worked import Worked, main

WORKED = Worked(
    name="no-crank",
    machine="ride-on-mower",
    complaint="crank fails",
    readings=(
        "volts start-relay.30 frame 12.6 with brake-switch pressed and key-switch start and seat-switch seated and engine cranking",
        "volts start-relay.86 frame 12.6 with engine cranking",
        "volts start-relay.85 frame 12.6 with engine cranking",
        "ohms start-5.from frame OL with start-5.from lifted and battery off",
    ),
    mend="renew start-5",
    proof=("crank works with start-5.from back and battery on and engine cranking",),
)

if __name__ == "__main__":
    main(WORKED)
