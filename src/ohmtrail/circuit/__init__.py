"""Electricity: setting, network, solution, response to changes, meter, and whether functions work."""

from ohmtrail.circuit.cases import Cases, Values
from ohmtrail.circuit.changes import Change, Mode
from ohmtrail.circuit.draws import Draw
from ohmtrail.circuit.electrics import Electrics
from ohmtrail.circuit.needs import (
    FAILS,
    WEAK,
    WORKS,
    Checked,
    check_function,
    function_level,
    function_setting,
)
from ohmtrail.circuit.network import Network
from ohmtrail.circuit.setting import Setting, put, switch_position, worked

__all__ = [
    "FAILS",
    "WEAK",
    "WORKS",
    "Cases",
    "Change",
    "Checked",
    "Draw",
    "Electrics",
    "Mode",
    "Network",
    "Setting",
    "Values",
    "check_function",
    "function_level",
    "function_setting",
    "put",
    "switch_position",
    "worked",
]
