"""Of a rehearsal: how near to the least possible, what is never noticed, what cannot be told apart, what would help."""

from __future__ import annotations

from ohmtrail.rehearsal import Reduced, Rehearsal
from ohmtrail.reports.figures import minutes_text
from ohmtrail.reports.paper import Paper

__all__ = ["write_reach"]

#: groups and faults that are shown by name
_GROUPS, _FAULTS = 8, 12


def write_reach(paper: Paper, found: Rehearsal) -> None:
    """Write what a rehearsal says of the limits: of searching, and of what can be reached.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Rehearsal
        The jobs.
    """
    _write_reduced(paper, found.reduced)
    if found.unnoticed:
        paper.blank()
        more = len(found.unnoticed) - _FAULTS
        ending = f" and {more} more" if more > 0 else ""
        paper.line(f"Noticed by none of these complaints: {len(found.unnoticed)} faults: {', '.join(found.unnoticed[:_FAULTS])}{ending}.")
    if found.unsplit:
        paper.blank()
        paper.line("Not told apart by anything within reach:")
        for item, jobs in found.unsplit[:_GROUPS]:
            split = f"; a test point at {' and '.join(item.would_split)} would" if item.would_split else "; nothing would"
            paper.line(f"{_jobs(jobs)}: {', '.join(item.mends)}{split}", indent=1, hang=3)
    if found.helpful:
        paper.blank()
        paper.line("A test point brought out within reach would have saved at most:")
        rows = [(item.point, f"{minutes_text(item.minutes)} in {_jobs(item.jobs)}") for item in found.helpful]
        paper.table(rows, indent=1)


def _jobs(count: int) -> str:
    return "1 job" if count == 1 else f"{count} jobs"


def _write_reduced(paper: Paper, reduced: tuple[Reduced, ...]) -> None:
    """Ratios to the true optimum, mean and worst."""
    if not reduced:
        return
    paper.blank()
    paper.line(f"{len(reduced)} small problems without doubt, over the least possible minutes (dynamic programming):")
    rows = [("", "on average", "at worst")]
    for name, ratios in (
        ("search", [item.search / item.least for item in reduced]),
        ("bits a minute", [item.rate / item.least for item in reduced]),
        ("entropy bound", [item.bound / item.least for item in reduced]),
    ):
        worst = min(ratios) if name == "entropy bound" else max(ratios)
        rows.append((name, f"{sum(ratios) / len(ratios):.3f}", f"{worst:.3f}"))
    paper.table(rows, indent=1)
    least, search = sum(item.least - item.direct for item in reduced), sum(item.search - item.direct for item in reduced)
    saved = max(1.0 - least / search, 0.0) if search else 0.0
    paper.line(f"Of the search's minutes over walking straight to the right mend, no way could save more than {saved:.1%}.", indent=1)
