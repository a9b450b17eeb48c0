"""A rehearsal: figures, calibration and what went wrong, as text and as JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ohmtrail.rehearsal import Band, Calibration, Compared, Group, Interval, Rehearsal, Rehearsed, Summary
from ohmtrail.rehearsal.campaign import Set
from ohmtrail.reports.figures import minutes_text
from ohmtrail.reports.json_values import finite
from ohmtrail.reports.paper import Paper
from ohmtrail.reports.rehearsed_reach import write_reach

__all__ = ["rehearsed_json", "write_rehearsed"]

Json = dict[str, Any]

_WAYS = {"search": "search", "chart": "printed chart", "rate": "bits a minute"}
_SETS: dict[Set, str] = {"rates": "Faults drawn by the rates", "every": "Every fault once"}
#: jobs that went wrong which are shown by name
_SHOWN = 12


def write_rehearsed(paper: Paper, found: Rehearsal) -> None:
    """Write what a rehearsal found.

    Parameters
    ----------
    paper : Paper
        Where to.
    found : Rehearsal
        The jobs.
    """
    paper.line(f"{found.harness.harness}, rehearsed with {_complaints(found)}; seed {found.seed}.")
    paper.line(
        "A simulated technician looks for planted faults: as Ohmtrail proposes (search), by a printed half-split chart "
        "with fair bands, and by information per minute without looking ahead. Same machines, same costs; over = "
        "minutes beyond walking straight to the right mend; in brackets the 90 % interval.",
    )
    if found.barred:
        paper.line(f"Out of reach: {', '.join(found.barred)}.")
    for kind, title in _SETS.items():
        group = found.group(kind)
        if group is not None:
            paper.blank()
            _write_group(paper, title, group)
            _write_complaints(paper, found, kind)
            _write_calibration(paper, group.calibration)
    _write_pairs(paper, found)
    write_reach(paper, found)
    _write_wrong(paper, found)


def _complaints(found: Rehearsal) -> str:
    return found.functions[0] if len(found.functions) == 1 else f"{len(found.functions)} complaints"


def _write_group(paper: Paper, title: str, group: Group) -> None:
    figures = group.figures
    jobs = next(iter(figures.values())).jobs
    paper.line(f"{title}: {jobs} jobs")
    rows = [("", *(_WAYS[way] for way in figures))]
    rows += [(head, *cells) for head, cells in _lines(list(figures.values()))]
    paper.table(rows)
    for way, compared in group.against.items():
        paper.line(f"Search over {_WAYS[way]}: minutes {_ratio(compared.total)}, over {_ratio(compared.excess)}.")


def _lines(figures: Sequence[Summary]) -> list[tuple[str, list[str]]]:
    return [
        ("minutes", [_spread(item.minutes) for item in figures]),
        ("over", [_spread(item.excess) for item in figures]),
        ("median, worst", [f"{item.median_min:.0f}, {item.worst_min:.0f}" for item in figures]),
        ("readings", [_spread(item.readings) for item in figures]),
        ("median, worst", [f"{item.median_readings:.0f}, {item.worst_readings:.0f}" for item in figures]),
        ("mends made", [f"{item.mends:.2f}" for item in figures]),
        ("lost on wrong mends", [f"{item.vain:.1f} min" for item in figures]),
        ("first mend right", [_share(item.first_right) for item in figures]),
        ("named at 95 % or more", [_share(item.named) if item.named else "-" for item in figures]),
        ("or the smallest group", [_share(item.named_or_grouped) if item.named else "-" for item in figures]),
        ("right when named", [_share(item.right_if_named) for item in figures]),
        ("solved", [_share(item.solved) for item in figures]),
    ]


def _write_complaints(paper: Paper, found: Rehearsal, kind: Set) -> None:
    """One line for each complaint: minutes by search and by chart, and the ratios."""
    rows = [("complaint", "jobs", "search", "chart", "minutes", "over")]
    for name in found.functions if len(found.functions) > 1 else ():
        group = found.group(kind, name)
        if group is None or "chart" not in group.against:
            continue
        ours, chart, ratio = group.figures["search"], group.figures["chart"], group.against["chart"]
        minutes = (minutes_text(ours.minutes.value), minutes_text(chart.minutes.value))
        rows.append((name, str(ours.jobs), *minutes, _ratio(ratio.total), _ratio(ratio.excess)))
    if len(rows) > 1:
        paper.table(rows)


def _write_calibration(paper: Paper, calibration: Calibration) -> None:
    rows = [("said of the first mend", "jobs", "said on average", "was right")]
    rows += [_row(f"{100 * i.low:.0f} to {100 * i.high:.0f} %", i) for i in calibration.bands]
    rows += [_row(name, i) for name, i in (("80 % and more", calibration.likely), ("95 % and more", calibration.certain)) if i]
    paper.table(rows)


def _row(name: str, item: Band) -> tuple[str, str, str, str]:
    return name, str(item.count), _share(item.stated), _share(item.true)


def _write_pairs(paper: Paper, found: Rehearsal) -> None:
    pairs = found.pairs
    if pairs is None:
        return
    paper.blank()
    paper.line(
        f"Two faults at once: {pairs.jobs} jobs, {_share(pairs.solved)} solved, first mend wrong in "
        f"{_share(pairs.wrong_first)}; {minutes_text(pairs.minutes)}, {pairs.ratio:.2f} of the two as single jobs "
        f"({minutes_text(pairs.singles_min)})."
    )


def _write_wrong(paper: Paper, found: Rehearsal) -> None:
    if not found.wrong:
        return
    paper.blank()
    paper.line(f"Named wrongly, or not solved: {len(found.wrong)} jobs.")
    for item in found.wrong[:_SHOWN]:
        how = f"{item.first}, said at {_share(item.share)}" if item.first else "no mend"
        ending = "" if item.solved else "; not solved"
        paper.line(f"{item.wanted.function}: {', '.join(item.wanted.faults)} -> {how}{ending}", indent=1, hang=3)


def _spread(item: Interval) -> str:
    return f"{item.value:.1f} ({item.low:.1f}-{item.high:.1f})"


def _ratio(item: Interval) -> str:
    return "-" if math.isnan(item.value) else f"{item.value:.2f} ({item.low:.2f}-{item.high:.2f})"


def _share(value: float) -> str:
    """A share that was counted: 0 and 100 % may be said."""
    return "-" if math.isnan(value) else f"{100 * value:.1f} %"


# ---- JSON ----


def rehearsed_json(found: Rehearsal) -> Json:
    """Give a rehearsal as JSON values.

    Parameters
    ----------
    found : Rehearsal
        The jobs.

    Returns
    -------
    dict
        Under the keys that `ohmtrail.reports.as_json` documents.
    """
    pairs = found.pairs
    return {
        "functions": list(found.functions),
        "seed": found.seed,
        "out_of_reach": list(found.barred),
        "sets": [
            group | {"set": kind}
            for kind in _SETS
            for name in ("", *(found.functions if len(found.functions) > 1 else ()))
            if (group := _group_json(found.group(kind, name)))
        ],
        "reduced": [vars(item) for item in found.reduced],
        "unnoticed": list(found.unnoticed),
        "unsplit": [{"mends": list(item.mends), "would_split": list(item.would_split), "jobs": jobs} for item, jobs in found.unsplit],
        "test_points": [vars(item) for item in found.helpful],
        "pairs": None if pairs is None else vars(pairs) | {"ratio": finite(pairs.ratio)},
        "jobs": [_job_json(job) | {"set": worked.task.kind} for worked in found.worked for job in worked.done],
    }


def _group_json(group: Group | None) -> Json:
    if group is None:
        return {}
    return {
        "function": group.function or None,
        "figures": {way: _summary_json(item) for way, item in group.figures.items()},
        "against": {way: _compared_json(item) for way, item in group.against.items()},
        "calibration": [vars(item) for item in group.calibration.bands],
        "from_80": None if group.calibration.likely is None else vars(group.calibration.likely),
        "from_95": None if group.calibration.certain is None else vars(group.calibration.certain),
    }


def _summary_json(item: Summary) -> Json:
    return {key: vars(value) if isinstance(value, Interval) else finite(value) for key, value in vars(item).items()}


def _compared_json(item: Compared) -> Json:
    return {key: {name: finite(number) for name, number in vars(value).items()} for key, value in vars(item).items()}


def _job_json(job: Rehearsed) -> Json:
    told = {key: value for key, value in vars(job).items() if key not in ("wanted", "unsplit", "ways_in")}
    told["share"] = finite(job.share)
    wanted = {"function": job.wanted.function, "faults": list(job.wanted.faults), "severities": list(job.wanted.severities)}
    return wanted | {"seed": job.wanted.seed} | told
