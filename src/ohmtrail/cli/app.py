"""Commands of Ohmtrail. Everything heavy is imported inside the command that needs it."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ohmtrail._version import __version__

if TYPE_CHECKING:
    from ohmtrail.workbench import Standing

__all__ = ["app", "main"]

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Find the fault in a machine's wiring: what to measure next, what it should be, what is wrong, what to mend.",
)

WHO_DECIDES = "Ohmtrail advises. The maker's manual, local rules and a qualified person decide."


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"ohmtrail {__version__}")
        raise typer.Exit


@app.callback()
def _root(version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")] = False) -> None:
    """Options before a command."""


def _now() -> datetime:
    return datetime.now(UTC)


def _say(lines: object) -> None:
    for line in lines:  # type: ignore[attr-defined]  # any iterable of str
        typer.echo(line)


@app.command()
def check(file: Path) -> None:
    """Check a harness file: all mistakes at once, then what a person should look at."""
    from ohmtrail import workbench

    found = workbench.check(file)
    for item, line, column in found.findings:
        mark = "serious" if item.serious else "note"
        typer.echo(f"{file}:{line}:{column}: {mark}: {item.sentence}; {item.remedy}")
    typer.echo(f"{found.harness.harness}: {len(found.harness.leads)} leads, {len(found.harness.functions)} functions")
    if any(item.serious for item, _, _ in found.findings):
        raise typer.Exit(1)


@app.command()
def schema() -> None:
    """Write the JSON Schema of harness files, for editors."""
    import json

    from ohmtrail.harness.schema import harness_schema

    typer.echo(json.dumps(harness_schema(), indent=2))


@app.command()
def start(job: str, harness: Annotated[str, typer.Option(help="The harness file.")], complaint: Annotated[str, typer.Option(help="As in 'spark absent'.")]) -> None:
    """Begin a job on a machine."""
    from ohmtrail import workbench

    _show(workbench.start(job, harness_path=harness, complaint=complaint, now=_now()))
    typer.echo(f"Stored in {job}. Next: ohmtrail next {job}")


@app.command()
def read(job: str, words: Annotated[list[str], typer.Argument(help="One line, as in: ohms cdi.STOP frame 3.2, or just the answer: 3.2, ol, works")]) -> None:
    """Add a reading: 'ohms RED BLACK 3.2', 'spark absent with stop-1.from lifted', or a bare answer."""
    from ohmtrail import workbench

    standing = workbench.read(job, " ".join(words), _now())
    typer.echo(f"Stored as number {len(standing.job.events)} in {job}.")
    _show(standing)
    typer.echo(f"Next: ohmtrail next {job}")


@app.command()
def suspects(job: str) -> None:
    """Show what may be wrong, and the readings so far."""
    from ohmtrail import workbench
    from ohmtrail.reports import evidence_text

    standing = workbench.stand(job)
    for event in standing.job.events:
        typer.echo(f"{event.number:3}  {evidence_text(event.what)}{'  (struck)' if event.struck else ''}")
    _show(standing)


@app.command(name="next")
def next_(job: str) -> None:
    """Say what to do next."""
    from ohmtrail import workbench
    from ohmtrail.reports import proposal_lines

    standing = workbench.stand(job)
    if standing.assessment.proven:
        typer.echo("Proven: every complaint works again.")
        return
    proposal = workbench.propose_next(standing, _now())
    _say(proposal_lines(standing.job.harness, standing.assessment, proposal, standing.job.bench.setting.words()))
    typer.echo(f"Answer with: ohmtrail read {job} ANSWER")


@app.command()
def mend(job: str, name: Annotated[list[str], typer.Argument(help="As shown, such as: renew stop-2")]) -> None:
    """Record a mend; then the complaint is to be tried again."""
    from ohmtrail import workbench

    _show(workbench.mend(job, " ".join(name), _now()))
    typer.echo(f"Next: ohmtrail next {job}")


@app.command()
def strike(job: str, number: int, why: Annotated[str, typer.Option(help="The reason.")] = "") -> None:
    """Strike a reading: it stays in the file and no longer counts."""
    from ohmtrail import workbench

    _show(workbench.strike(job, number, why, _now()))


@app.command()
def why(job: str) -> None:
    """Say how every reading bears on the likeliest suspects."""
    from ohmtrail import workbench
    from ohmtrail.diagnosis import weights_of
    from ohmtrail.reports import evidence_text

    posterior = workbench.stand(job).assessment.posterior
    if posterior is None:
        typer.echo("Nothing is known to be wrong.")
        return
    for answer in posterior.answers[:3]:
        typer.echo(f"{answer.share:.1%}  {' and '.join(answer.mends)}")
        for item in weights_of(posterior, answer):
            side = "for" if item.factor >= 1 else "against"
            times = max(item.factor, 1 / max(item.factor, 1e-12))
            typer.echo(f"    {evidence_text(item.evidence)}: {min(times, 9999):.3g} times {side}")


@app.command()
def draw(
    file: Path,
    out: Annotated[Path, typer.Option("--out", "-o", help="The SVG to write.")],
    function: Annotated[str, typer.Option(help="Draw the path of this function; the whole harness where not given.")] = "",
    phone: Annotated[bool, typer.Option("--phone", help="As a ladder, 390 px wide.")] = False,
) -> None:
    """Draw a function's path, a ladder for the phone, or the whole harness, as SVG."""
    from ohmtrail.drawing import draw_ladder, draw_path, draw_whole
    from ohmtrail.errors import UnknownName
    from ohmtrail.harness import load_harness
    from ohmtrail.storage import write_whole

    harness = load_harness(file)
    if function and function not in harness.functions:
        raise UnknownName("function", function, harness.functions)
    if phone and not function:
        raise typer.BadParameter("--phone draws one function: add --function NAME")
    drawn = (draw_ladder if phone else draw_path)(harness, function) if function else draw_whole(harness)
    write_whole(out, drawn)
    typer.echo(f"Drawn in {out}.")


@app.command()
def demo(
    harness: Annotated[Path | None, typer.Option(help="Another harness file.")] = None,
    function: Annotated[str, typer.Option(help="What is complained of.")] = "spark",
    fault: Annotated[str, typer.Option(help="Fault to plant.")] = "stop-2 leak",
    severity: Annotated[float, typer.Option(help="Ohms of the fault, where it has any.")] = 4.0,
    seed: Annotated[int, typer.Option(help="Of tolerances and noise.")] = 1,
) -> None:
    """Play a whole job on an invented machine with a planted fault; everything is computed."""
    from ohmtrail import workbench
    from ohmtrail.reports import action_lines, proposal_lines, suspect_lines

    path = str(harness or _circuits() / "trail-motorcycle.yaml")
    shown = workbench.demo(path, function=function, fault=fault, severity=severity, seed=seed, year=_now().year)
    typer.echo(f"{shown.case.harness.harness}: {function} fails. Planted, and unknown to the search: {shown.planted.fault.words}.")
    typer.echo(WHO_DECIDES)
    total = 0.0
    for number, action in enumerate(shown.actions, start=1):
        typer.echo("")
        _say(suspect_lines(action.assessment))
        typer.echo(f"{number}. ", nl=False)
        _say(proposal_lines(shown.case.harness, action.assessment, action.proposal, ()))
        _say(action_lines(action))
        total += action.minutes
    typer.echo(f"\n{total:.0f} min in all.")


def _circuits() -> Path:
    inside = Path(__file__).resolve().parent.parent / "circuits"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[3] / "circuits"


def _show(standing: Standing) -> None:
    from ohmtrail.reports import suspect_lines

    if standing.assessment.proven:
        typer.echo("Proven: every complaint works again.")
        return
    _say(suspect_lines(standing.assessment))


def main() -> None:
    """Run the command line; every error a user can make is one sentence."""
    from ohmtrail.errors import OhmtrailError

    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")
    try:
        app()
    except OhmtrailError as error:
        typer.echo(f"ohmtrail: {error}", err=True)
        raise SystemExit(error.exit_code) from None
    except Exception as error:  # noqa: BLE001  # the door: a bug of ours is one sentence, never a traceback
        typer.echo(f"ohmtrail: a mistake of ours: {type(error).__name__}: {error}; please report it with the command", err=True)
        raise SystemExit(70) from None
