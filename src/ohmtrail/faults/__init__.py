"""What can go wrong and how often: faults as changes to a circuit, with their mends."""

from ohmtrail.faults.catalogue import SEVERITY, earth_name, faults_of
from ohmtrail.faults.fault import Fault, Mend
from ohmtrail.faults.tables import Kind, kinds_of

__all__ = ["SEVERITY", "Fault", "Kind", "Mend", "earth_name", "faults_of", "kinds_of"]
