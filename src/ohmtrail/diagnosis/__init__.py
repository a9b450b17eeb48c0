"""From readings to suspects, and what to do next."""

from ohmtrail.diagnosis.case import Assessment, Case, Event, Mended, trial_of
from ohmtrail.diagnosis.cautions import Caution, all_cautions, caution, cautions_for
from ohmtrail.diagnosis.evidence import Complaint, Evidence, Looked, Measured, Seen
from ohmtrail.diagnosis.explain import (
    Expected,
    OddReading,
    Outcome,
    RuledOut,
    Weight,
    expected_of,
    odd_reading,
    outcomes_of,
    ruled_out,
    weights_of,
)
from ohmtrail.diagnosis.planted import Planted, PlantedFault, plant
from ohmtrail.diagnosis.posterior import Answer, Posterior, weigh
from ohmtrail.diagnosis.proposal import Proposal, Scored
from ohmtrail.diagnosis.steps import (
    Bench,
    Step,
    after,
    minutes_of,
    needed_places,
    places_of,
    repeats,
    with_outer,
    worked_on,
)
from ohmtrail.diagnosis.technician import Action, follow

__all__ = [
    "Action",
    "Answer",
    "Assessment",
    "Bench",
    "Case",
    "Caution",
    "Complaint",
    "Event",
    "Evidence",
    "Expected",
    "Looked",
    "Measured",
    "Mended",
    "OddReading",
    "Outcome",
    "Planted",
    "PlantedFault",
    "Posterior",
    "Proposal",
    "RuledOut",
    "Scored",
    "Seen",
    "Step",
    "Weight",
    "after",
    "all_cautions",
    "caution",
    "cautions_for",
    "expected_of",
    "follow",
    "minutes_of",
    "needed_places",
    "odd_reading",
    "outcomes_of",
    "places_of",
    "plant",
    "repeats",
    "ruled_out",
    "trial_of",
    "weigh",
    "weights_of",
    "with_outer",
    "worked_on",
]
