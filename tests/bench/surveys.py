"""What the surveys of the shipped circuits notice, what they cost, and how often a sound machine alarms.

    python tests/bench/surveys.py [--only outboard] [--machines 200]

Every single fault is planted in random machines within their tolerances and surveyed with the meter's noise and
with slips; what counts is what a person who follows the plan and its advice to take a reading again would notice.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from ohmtrail.harness import load_harness
from ohmtrail.survey import Surveyor, coverage_of, false_alarms

CIRCUITS = sorted((Path(__file__).parents[2] / "circuits").glob("*.yaml"))


def main() -> None:
    """Print one line for each circuit."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--only", choices=[path.stem for path in CIRCUITS])
    asked.add_argument("--machines", type=int, default=200, help="sound machines for the share of false alarms")
    options = asked.parse_args()
    print("circuit             noticed  of what could be  minutes  of all  share  readings  false alarms  CPU s")
    for path in CIRCUITS:
        if options.only in (None, path.stem):
            print(_line(path, options.machines), flush=True)


def _line(path: Path, machines: int) -> str:
    start = time.process_time()
    surveyor = Surveyor(load_harness(str(path)), year=2026)
    survey = surveyor.plan()
    took = time.process_time() - start
    found = coverage_of(surveyor, survey, seed=11)
    alarms = false_alarms(surveyor, survey, machines=machines, seed=3)
    share = survey.minutes / survey.everything
    return (
        f"{path.stem:<18}  {found.noticed:6.1%}  {found.of_could:8.1%} of {found.could:5.1%}  {survey.minutes:7.1f}  {survey.everything:6.1f}"
        f"  {share:5.1%}  {len(survey.steps):8d}  {alarms:12.1%}  {took:5.1f}"
    )


if __name__ == "__main__":
    main()
