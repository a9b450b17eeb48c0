"""The four stages of a survey, and what may be asked for in each: nothing before the stage that makes it safe."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import networkx as nx

from ohmtrail.circuit import Network, Setting
from ohmtrail.circuit.branch_kinds import EARTHING
from ohmtrail.circuit.kinds import passes
from ohmtrail.circuit.meter import FEEDS, Meter
from ohmtrail.circuit.turning import may_crank
from ohmtrail.diagnosis import Step
from ohmtrail.diagnosis.candidates import shunned
from ohmtrail.diagnosis.cautions import battery_posts
from ohmtrail.diagnosis.steps import hands_in_the_way
from ohmtrail.harness.model import FRAME, Harness
from ohmtrail.harness.parts import Module, Points
from ohmtrail.units import show

__all__ = ["STAGES", "Safety", "Stage", "stages_of"]


@dataclass(frozen=True)
class Stage:
    """One stage of a survey.

    Attributes
    ----------
    number : int
        1 to 4.
    called : str
        Its heading.
    how : str
        How the machine stands in it.
    before_next : str
        What must be true before the next stage.
    """

    number: int
    called: str
    how: str
    before_next: str


#: of an engine without a contact breaker: nothing in it is charged then
_NOT_TURNED = "it was not turned since the machine was last left to stand"
STAGES: tuple[Stage, ...] = (
    Stage(
        1,
        "Dead checks, battery off",
        f"Battery leads off their posts, engine still; {_NOT_TURNED}. "
        "Where a reading names the battery's + or -, it is the end of the lead, never the post. "
        "Every fuse out until its circuit is found free of the frame.",
        "No feed is shorted to the frame, every earth reads as it should, every fuse is whole and of the rating "
        "that the harness says, and every connector, lead, fuse and bulb is back in its place.",
    ),
    Stage(
        2,
        "First power, through a current limit",
        "Engine still. A 21 W lamp in series with the battery for the first touch: it must stay dark with "
        "everything off. Then the meter's fused amps range in series, with a small fuse in the lamp's place. Never turn the "
        "key to start with the meter in series: the starter's current would go through it.",
        "With everything off no more flows than the sheet says, and in every switch position the current lies in its band.",
    ),
    Stage(
        3,
        "Functions one by one, engine still",
        "Battery connected through its own fuses, current limit away, engine still. Gearbox in neutral, hands and tools "
        "clear of turning parts: what must not crank may do so.",
        "Everything works that works without the engine, and the gearbox, the stop switch and the fuel tap are as they "
        "must be for a first start.",
    ),
    Stage(
        4,
        "Engine turning",
        "Cranking first, then running: spark, then that it stops when told to, then charge and lights.",
        "The engine stops each time it is told to, by every means that it has.",
    ),
)

_UNFED = Stage(
    1,
    "Dead checks, engine still",
    f"Engine still; {_NOT_TURNED}.",
    "Every earth reads as it should, and every connector, lead and bulb is back in its place.",
)


def stages_of(harness: Harness) -> tuple[Stage, ...]:
    """Give the stages as they are on one machine.

    Parameters
    ----------
    harness : Harness
        The machine.

    Returns
    -------
    tuple of Stage
        All four; where there is no battery nothing is said of its leads or of fuses, and a breaker is turned by hand.
    """
    lamp = f"A 21 W lamp for {show(harness.supply.nominal, 'volt')} in series"
    by_hand = any(isinstance(part, Points) for part in harness.parts.values())
    turned = "it is turned by hand only where a reading says so" if by_hand else _NOT_TURNED
    stages = STAGES if harness.has_battery else (_UNFED, *STAGES[1:])
    return tuple(replace(stage, how=stage.how.replace("A 21 W lamp in series", lamp).replace(_NOT_TURNED, turned)) for stage in stages)


class Safety:
    """What each stage allows on one machine.

    Parameters
    ----------
    network : Network
        The machine.
    meter : Meter
        What readings are taken with.
    """

    def __init__(self, network: Network, meter: Meter) -> None:
        self.network, self.meter, self.harness = network, meter, network.harness
        self._fed: dict[Setting, frozenset[str]] = {}

    def allows(self, stage: int, step: Step) -> bool:
        """Say whether a stage makes a step safe.

        Parameters
        ----------
        stage : int
            1 to 4.
        step : Step
            A measurement or a function to watch.

        Returns
        -------
        bool
            False for what belongs to a later stage, and for what no stage allows.
        """
        setting = step.setting
        if stage == 1:
            return self._dead(step)
        if not setting.battery and setting.engine == "still":
            return False
        if step.kind == "measure" and step.quantity in FEEDS:
            return False
        if stage < 4:
            live = setting.battery and setting.engine == "still" and not (setting.parted or setting.lifted)
            if may_crank(self.harness, setting) and (stage == 2 or setting.moved):
                # what keeps the starter still has not been tried yet
                return False
            return live and (stage == 3 or (step.kind == "measure" and step.quantity == "amps"))
        if hands_in_the_way(self.harness, setting, (step.red, step.black) if step.kind == "measure" else ()):
            return False
        hot = shunned(self.network, self.meter, setting)
        return setting.engine != "still" and not (setting.parted or setting.lifted or {step.red, step.black} & hot)

    def _dead(self, step: Step) -> bool:
        """Nothing drives the circuit, no module is fed, no terminal that may hold a charge is touched."""
        if step.kind != "measure" or step.quantity not in FEEDS or not step.setting.dead:
            return False
        if step.setting.lifted & self._charged_ends or self._charged & {step.red, step.black}:
            return False
        if frozenset((step.red, step.black)) in battery_posts(self.harness):
            return False
        return not {step.red, step.black} & self.feeding(step.setting)

    @cached_property
    def _charged(self) -> frozenset[str]:
        """Terminals of modules that store a charge."""
        holds = [(name, part) for name, part in self.harness.parts.items() if isinstance(part, Module) and part.stores_charge]
        return frozenset(f"{name}.{terminal}" for name, part in holds for terminal in part.terminals())

    @cached_property
    def _charged_ends(self) -> frozenset[str]:
        return frozenset(end for terminal in self._charged for end in self.harness.leads_at.get(terminal, ()))

    @cached_property
    def _pins(self) -> tuple[str, ...]:
        """Terminals of modules that are not earthed for good: what current could be driven into."""
        earth: nx.Graph[str] = nx.Graph()
        earth.add_node(FRAME)
        earth.add_edges_from((item.a, item.b) for item in self.network.branches if item.kind in EARTHING)
        earthed = nx.node_connected_component(earth, FRAME)
        modules = [(name, part) for name, part in self.harness.parts.items() if isinstance(part, Module)]
        return tuple(f"{name}.{pin}" for name, part in modules for pin in part.terminals() if f"{name}.{pin}" not in earthed)

    def feeding(self, setting: Setting) -> frozenset[str]:
        """Give the points from which an ohmmeter would feed a module.

        Parameters
        ----------
        setting : Setting
            State of the machine.

        Returns
        -------
        frozenset of str
            Points that conduct to a module's terminal other than over the frame.
        """
        if setting not in self._fed:
            graph = self.network.graph(setting)
            graph.remove_node(FRAME)
            inner = {branch.id for branch in self.network.branches if branch.kind in ("inside", "delivers")}
            graph.remove_edges_from([edge for edge in graph.edges(keys=True) if edge[2] in inner])
            found: set[str] = set()
            for pin in self._pins:
                if pin not in found and pin in graph:
                    found |= nx.node_connected_component(graph, pin)
            self._fed[setting] = frozenset(found)
        return self._fed[setting]


def conducting(network: Network, setting: Setting) -> nx.Graph[str]:
    """Give what is joined by leads, joints and closed contacts alone in a setting.

    Parameters
    ----------
    network : Network
        The machine.
    setting : Setting
        State of the machine.

    Returns
    -------
    networkx.Graph
        Points and the frame.
    """
    whole = network.graph(setting)
    joined: nx.Graph[str] = nx.Graph()
    joined.add_nodes_from(whole.nodes)
    ways = {branch.id for branch in network.branches if passes(network, branch) and branch.kind != "diode"}
    joined.add_edges_from((a, b) for a, b, key in whole.edges(keys=True) if key in ways)
    return joined
