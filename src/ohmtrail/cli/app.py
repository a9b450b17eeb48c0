"""Commands of Ohmtrail. Everything heavy is imported inside the command that needs it."""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType
from typing import Annotated

import typer

from ohmtrail._version import __version__
from ohmtrail.cli import (
    bench,
    blank,
    changes,
    compare,
    dossier,
    draw,
    drill,
    lesson,
    rehearse,
    report,
    serve,
    sheet,
    spreadsheets,
    survey,
)
from ohmtrail.cli.door import run
from ohmtrail.cli.options import READING, Accept, Job, Json, With, this_moment
from ohmtrail.cli.page import give, help_width, put_out
from ohmtrail.cli.texts import ABOUT, COMPLAINTS, ENDING, GRAMMAR

__all__ = ["app", "main"]

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"], "terminal_width": help_width()},
    help=ABOUT,
    epilog=ENDING,
)

def _version(asked: bool) -> None:
    if asked:
        put_out(f"ohmtrail {__version__}\n")
        raise typer.Exit


@app.callback()
def _before(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and end.")
    ] = False,
) -> None:
    """Options before a command."""


@app.command()
def check(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file; '-' reads standard input.")],
    as_json: Json = False,
) -> None:
    """Check a harness file.

    All mistakes at once (status 2), else what a person should look at (status 1 where that is serious).
    """
    from ohmtrail import workbench
    from ohmtrail.reports.machine import write_checked

    found = workbench.check("standard input", text=sys.stdin.read()) if file == "-" else workbench.check(file)
    give("check", found, lambda paper: write_checked(paper, found), as_json=as_json, code=1 if found.serious else 0)


@app.command(epilog=COMPLAINTS)
def start(
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job file to make; nothing is overwritten.")],
    harness: Annotated[str, typer.Option(help="The harness file.")],
    complaint: Annotated[list[str], typer.Option(help="What fails, as in 'spark absent'.")],
    clamp: Annotated[bool, typer.Option("--clamp", help="A clamp for amps is at hand.")] = False,
    peak: Annotated[bool, typer.Option("--peak-adapter", help="A peak-hold adapter is at hand.")] = False,
    no_lamp: Annotated[bool, typer.Option("--no-test-lamp", help="No test lamp is at hand.")] = False,
    year: Annotated[int | None, typer.Option(help="Count ages to this year.", min=1900, max=2100)] = None,
    as_json: Json = False,
) -> None:
    """Begin a job on a machine."""
    from ohmtrail import workbench
    from ohmtrail.circuit.meter import Meter
    from ohmtrail.reports.jobs import write_recorded

    meter = Meter(clamp=clamp, peak_adapter=peak, test_lamp_w=0.0 if no_lamp else Meter().test_lamp_w)
    made = workbench.start(job, harness=harness, complaint=complaint, now=this_moment(), meter=meter, year=year)
    give("start", made, lambda paper: write_recorded(paper, made), as_json=as_json)


@app.command(epilog=GRAMMAR, context_settings=READING)
def read(
    job: Job,
    words: Annotated[list[str], typer.Argument(metavar="READING", help="One line, or just the answer: 3.2, OL, works.")],
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Add a reading, or the answer to the last proposal."""
    from ohmtrail import workbench
    from ohmtrail.reports.jobs import write_recorded

    unknown = next((word for word in words if word[:1] == "-" and word.lstrip("-")[:1].isalpha()), None)
    if unknown is not None:
        raise typer.BadParameter(f"no such option {unknown}")
    text = sys.stdin.read() if words == ["-"] else " ".join(words).replace("\n", " ")
    made = workbench.read(workbench.open_job(job, accept_changed=accept_changed), text, now=this_moment())
    give("read", made, lambda paper: write_recorded(paper, made), as_json=as_json)


@app.command()
def suspects(job: Job, accept_changed: Accept = False, as_json: Json = False) -> None:
    """Show the readings and what may be wrong.

    Status 1 where the readings contradict each other.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.jobs import write_standing

    found = workbench.suspects(workbench.open_job(job, accept_changed=accept_changed))
    code = 1 if found.lost or found.odd is not None else 0
    give("suspects", found, lambda paper: write_standing(paper, found), as_json=as_json, code=code)


@app.command(name="next")
def next_(
    job: Job,
    skip: Annotated[bool, typer.Option("--skip", help="The step proposed last is not wanted: propose another.")] = False,
    unreachable: Annotated[list[str] | None, typer.Option(help="A place that cannot be got at.")] = None,
    reachable: Annotated[list[str] | None, typer.Option(help="A place that can be got at after all.")] = None,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Say what to do next.

    Where, how to set the machine, where red and black go, what each outcome would mean, and the cautions.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.asked import write_asked

    opened, now = workbench.open_job(job, accept_changed=accept_changed), this_moment()
    if skip:
        workbench.skip(opened, now=now)
    for place, can in [*((item, False) for item in unreachable or ()), *((item, True) for item in reachable or ())]:
        workbench.reachable(opened, place, can=can, now=now)
    found = workbench.next_step(opened, now=now)
    stuck = found.proposal.step is None and not found.standing.assessment.proven
    give("next", found, lambda paper: write_asked(paper, found), as_json=as_json, code=1 if stuck else 0)


@app.command()
def why(
    job: Job,
    suspect: Annotated[list[str] | None, typer.Argument(help="A mend, or what it is done to; else the leading three.")] = None,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Say how each reading bears on the suspects.

    And which reading ruled others out.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.jobs import write_why

    opened = workbench.open_job(job, accept_changed=accept_changed)
    found = workbench.why(opened, about=" ".join(suspect or ()))
    give("why", found, lambda paper: write_why(paper, found), as_json=as_json)


@app.command()
def strike(
    job: Job,
    number: Annotated[str, typer.Argument(help="Of the reading, as 'suspects' numbers them.")],
    why: Annotated[str, typer.Option(help="The reason.")] = "",
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Strike a reading; it stays in the file.

    It no longer counts.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.jobs import write_recorded

    if not (number.isascii() and number.isdigit()) or len(number) > 9:
        raise typer.BadParameter(f"{number!r} is no number of a reading, such as 2")
    opened = workbench.open_job(job, accept_changed=accept_changed)
    made = workbench.strike(opened, int(number), why=why, now=this_moment())
    give("strike", made, lambda paper: write_recorded(paper, made), as_json=as_json)


@app.command()
def mend(
    job: Job,
    name: Annotated[list[str] | None, typer.Argument(help="As in: renew stop-2. The proposed mend where not given.")] = None,
    accept_changed: Accept = False,
    as_json: Json = False,
) -> None:
    """Record a mend, and list what proves it."""
    from ohmtrail import workbench
    from ohmtrail.reports.jobs import write_recorded

    made = workbench.mend(workbench.open_job(job, accept_changed=accept_changed), " ".join(name or ()), now=this_moment())
    give("mend", made, lambda paper: write_recorded(paper, made), as_json=as_json)


@app.command()
def trace(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file, or a job file.")],
    function: Annotated[list[str], typer.Argument(metavar="FUNCTION", help="As in: horn, or headlamp dipped.")],
    setting: With = None,
    as_json: Json = False,
) -> None:
    """Follow a function's current.

    Terminal by terminal: volts, amps, what conducts, what is open.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.machine import write_trace

    found = workbench.trace(file, " ".join(function), setting=setting or ())
    give("trace", found, lambda paper: write_trace(paper, found), as_json=as_json)


@app.command()
def netlist(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A harness file.")],
    function: Annotated[str, typer.Option(help="Set the machine as this function wants it.")] = "",
    setting: With = None,
    fault: Annotated[str, typer.Option(help="What is wrong, as in 'stop-2 leak'.")] = "",
    severity: Annotated[float | None, typer.Option(help="Ohms of the fault, where it has any.")] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="The file to write.")] = None,
    as_json: Json = False,
) -> None:
    """Write a machine as a SPICE netlist.

    In one setting, sound or with a fault; ngspice reads it.
    """
    from ohmtrail import workbench
    from ohmtrail.storage import write_whole

    made = workbench.netlist(
        file, function=function, setting=setting or (), fault=fault, severity=severity, year=this_moment().year
    )
    if out is not None:
        write_whole(out, made.text)
    if as_json:
        give("netlist", made, lambda paper: None, as_json=True)
    else:
        put_out(made.text if out is None else f"Written to {out}.\n")


@app.command()
def demo(
    harness: Annotated[str, typer.Option(help="Another harness file.")] = "",
    function: Annotated[str, typer.Option(help="What is complained of; else what the fault stops.")] = "",
    fault: Annotated[str, typer.Option(help="The fault to plant.")] = "stop-2 leak",
    severity: Annotated[float | None, typer.Option(help="Ohms of the fault, where it has any; 4 for the usual one.")] = None,
    seed: Annotated[int, typer.Option(help="Of tolerances and noise.")] = 1,
    as_json: Json = False,
) -> None:
    """Play a whole job with a planted fault.

    On an invented machine; everything is computed, and the same code runs for any fault.
    """
    from ohmtrail import workbench
    from ohmtrail.cli.demo import show_demo

    usual = not harness and fault == "stop-2 leak"
    made = workbench.demo(
        harness or workbench.shipped("trail-motorcycle"),
        function=function or ("spark" if usual else ""),
        fault=fault,
        severity=4.0 if usual and severity is None else severity,
        seed=seed,
        year=this_moment().year,
    )
    show_demo(made, as_json=as_json)


@app.command(name="help")
def help_(
    context: typer.Context,
    topic: Annotated[list[str] | None, typer.Argument(help="reading, json, or a command, as in: changes add; all of them where not given.")] = None,
) -> None:
    """Explain readings, what --json writes, or a command."""
    from ohmtrail.cli.topics import explain

    put_out(explain(context, tuple(topic or ())))


#: rooms of further commands: each module's attach(app) adds its own, in the order of a job's life
_FURTHER: tuple[ModuleType, ...] = (blank, survey, bench, serve, draw, sheet, changes, compare, report, spreadsheets, rehearse, lesson, drill, dossier)

for _room in _FURTHER:
    _room.attach(app)


def main() -> None:
    """Run the command line; every error a user can make is one sentence."""
    raise SystemExit(run(app))
