"""What a hand has been at weighs more or less as a suspect: said in words wherever suspects are reported."""

from __future__ import annotations

from typing import Any

from ohmtrail.faults.rates import Weighed, weighed
from ohmtrail.reports.results import Standing

__all__ = ["weighing_json", "weighing_lines"]

#: so many names are told, then how many more
_MOST = 8
#: a suspect below this is not worth a word
_LEAST_SHARE = 0.001


def weighing_lines(standing: Standing) -> tuple[str, ...]:
    """Say which leads and parts weigh otherwise because they were altered or renewed.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    tuple of str
        One sentence for each year and kind of work, about what a suspect is about; none where no hand has been
        at those, or nothing is in question.
    """
    found = _in_question(standing)
    return tuple(_line(item) for item in weighed(standing.job.harness, standing.job.start.year, among=found) if found)


def _in_question(standing: Standing) -> frozenset[str]:
    """Leads and parts that a suspect of some weight is about."""
    posterior = standing.posterior
    if posterior is None:
        return frozenset()
    rows = (row for answer in posterior.answers if answer.share >= _LEAST_SHARE for row in answer.rows)
    elements = (fault.element for row in rows for fault in posterior.table.rows[row].faults)
    return frozenset(element.partition(".")[0] for element in elements)


def _line(item: Weighed) -> str:
    more = f" and {len(item.elements) - _MOST} more" if len(item.elements) > _MOST else ""
    way = "weighed more" if item.factor > 1.0 else "weighed less"
    return f"{item.how.capitalize()} in {item.year}, so {way} ({item.factor:g} times): {', '.join(item.elements[:_MOST])}{more}."


def weighing_json(standing: Standing) -> list[dict[str, Any]]:
    """Give the same as plain values.

    Parameters
    ----------
    standing : Standing
        The job.

    Returns
    -------
    list of dict
        how, year, factor, elements.
    """
    found = weighed(standing.job.harness, standing.job.start.year, among=_in_question(standing))
    return [{"how": item.how, "year": item.year, "factor": item.factor, "elements": list(item.elements)} for item in found]
