"""Files that are wrong about a machine: one lead left out, or two that change ends; and a job for each."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from ohmtrail.circuit import WORKS, Change, Electrics, function_level, function_setting
from ohmtrail.circuit.amendments import Amendment
from ohmtrail.circuit.astray import dead_functions
from ohmtrail.diagnosis import Case
from ohmtrail.errors import OhmtrailError
from ohmtrail.harness import Harness, load_harness
from ohmtrail.rehearsal.draws import Wanted, causes, drawn_by_rate

__all__ = ["Altered", "Misdescribed", "Wrong"]


@dataclass(frozen=True)
class Altered:
    """What is wrong in a file: one lead is missing, or two are swapped at the end they go to."""

    leads: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.leads[0]} is missing" if len(self.leads) == 1 else f"{self.leads[0]} and {self.leads[1]} are swapped"


@dataclass(frozen=True)
class Wrong:
    """A file that is wrong, and what was planted on the machine.

    Attributes
    ----------
    altered : Altered
        What is wrong in it.
    harness : Harness
        As the wrong file has it.
    wanted : Wanted
        The job on the true machine.
    """

    altered: Altered
    harness: Harness
    wanted: Wanted


class Misdescribed:
    """Every file that is wrong about one machine in one lead or two, sorted by whether its functions work by it.

    Parameters
    ----------
    true : Case
        The machine as it is.
    path : Path
        Its file.
    """

    def __init__(self, true: Case, path: Path) -> None:
        self.true = true
        self.tree: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)

    @cached_property
    def altered(self) -> tuple[Altered, ...]:
        """Each lead missing, each two that share no end swapped."""
        leads = self.true.harness.leads
        plain = [name for name, lead in leads.items() if not lead.high_tension]
        swaps = [Altered((one, two)) for at, one in enumerate(plain) for two in plain[at + 1 :] if self._tells(one, two)]
        return (*(Altered((name,)) for name in leads), *swaps)

    @cached_property
    def sound(self) -> NDArray[np.bool_]:
        """(n_altered,) whether every function works by the file: what `check` has nothing to say of."""
        electrics = Electrics(self.true.harness, count=1)
        cases = electrics.cases([self._changes(item) for item in self.altered])
        works = np.ones(len(self.altered), dtype=bool)
        for function in self.true.harness.functions.values():
            works &= function_level(electrics, function, function_setting(self.true.harness, function), cases)[0] >= WORKS
        return works

    def jobs(self, functions: Sequence[str], count: int, seed: int, *, sound: bool) -> Iterator[Wrong]:
        """Draw files and jobs, the complaints in turn.

        Parameters
        ----------
        functions : sequence of str
            Complaints.
        count : int
            How many jobs in all.
        seed : int
            Of what is changed and planted.
        sound : bool
            Whether every function works by the files, so that `check` sees nothing.

        Yields
        ------
        Wrong
            A lead that is wrong in the file is always on the way of the complaint; half of the files lack a lead,
            where such files are to be had.
        """
        generator = np.random.default_rng([seed, 4])
        share = -(-count // len(functions))
        could = [item for item, works in zip(self.altered, self.sound, strict=True) if works == sound]
        made = 0
        for function in functions:
            near = {fault.element for fault in causes(self.true, function)}
            groups = [[item for item in could if len(item.leads) == many and near & set(item.leads)] for many in (1, 2)]
            groups = [group for group in groups if group]
            for wanted in drawn_by_rate(self.true, [function], share, seed) if groups else ():
                harness = None
                while harness is None:
                    group = groups[int(generator.integers(len(groups)))]
                    item = group[int(generator.integers(len(group)))]
                    harness = self.written(item)
                if made < count and bool(dead_functions(Electrics(harness, count=1), harness.functions)) != sound:
                    made += 1
                    yield Wrong(item, harness, wanted)

    def written(self, item: Altered) -> Harness | None:
        """The file with that mistake, read again; None where it is refused."""
        leads: dict[str, Any] = {name: dict(lead) for name, lead in self.tree["leads"].items()}
        if len(item.leads) == 1:
            del leads[item.leads[0]]
        else:
            one, two = item.leads
            leads[one]["to"], leads[two]["to"] = leads[two]["to"], leads[one]["to"]
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "wrong.yaml"
            text = yaml.safe_dump({**self.tree, "leads": leads}, allow_unicode=True, sort_keys=False)
            file.write_text(text, encoding="utf-8")
            try:
                return load_harness(file)
            except OhmtrailError:
                return None

    def _tells(self, one: str, two: str) -> bool:
        """Whether two leads with their ends changed are another machine, and none with a lead from a point to itself."""
        first, second = self.true.harness.leads[one], self.true.harness.leads[two]
        return first.to != second.to and first.from_ not in (second.from_, second.to) and second.from_ != first.to

    def _changes(self, item: Altered) -> tuple[Change, ...]:
        """The same as changes to the true machine: what is swapped runs crosswise."""
        leads = self.true.harness.leads
        first, last = leads[item.leads[0]], leads[item.leads[-1]]
        swapped = ((first.from_, last.to), (last.from_, first.to)) if len(item.leads) > 1 else ()
        return Amendment(item.leads, swapped).changes(self.true.harness)
