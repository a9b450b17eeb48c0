"""A dim lantern on the outboard: the battery is well, and volts are lost on the way back to it.

The earth contact of the lantern's socket, out in the salt, has 8 Ω.
"""

from __future__ import annotations

from worked import Worked, main

WORKED = Worked(
    name="dim-lantern",
    machine="outboard",
    complaint="lantern-light dim",
    readings=(
        "volts battery.+ battery.- 12.67 with lantern-switch on",
        "volts lantern.58 lantern.31 7.62",
        "volts lantern-socket.2b frame 4.88",
        "volts lantern-socket.2a frame 0.01",
    ),
    mend="clean and close up the contact lantern-socket.2",
    proof=("volts lantern.58 lantern.31 12.3 with battery on and lantern-switch on", "lantern-light works"),
)

if __name__ == "__main__":
    main(WORKED)
