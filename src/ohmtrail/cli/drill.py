"""The drill on the terminal: one line asked, one answer; every answer is kept before it is shown."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ohmtrail.cli.options import Json, this_moment
from ohmtrail.cli.page import give, give_document, new_paper, put_out
from ohmtrail.cli.patience import ask_patience

if TYPE_CHECKING:
    from ohmtrail.reports.drill_results import OpenDrill
    from ohmtrail.reports.paper import Paper

__all__ = ["attach"]

_WRONG = 2


def drill(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="A harness file; or a drill file, to go on with it.")],
    level: Annotated[str, typer.Option(help="single, high-resistance, intermittent or double.")] = "single",
    function: Annotated[str, typer.Option(help="What is complained of; else anything.")] = "",
    seed: Annotated[int | None, typer.Option(help="The same seed is the same drill.", min=0)] = None,
    hint: Annotated[bool, typer.Option("--hint", help="Begin with a hint; it costs points.")] = False,
    unsplit: Annotated[bool, typer.Option("--unsplit", help="Allow faults that nothing within reach tells apart.")] = False,
    file: Annotated[str, typer.Option("--file", help="The drill file to make.")] = "",
    by: Annotated[str, typer.Option(help="Who practises, for the trainer's summary.")] = "",
    cards: Annotated[int, typer.Option("--class", metavar="N", help="Make N printable cards for a class instead.", min=0, max=60)] = 0,
    out: Annotated[str, typer.Option("--out", "-o", metavar="OUT", help="For --class: .html or .pdf; the trainer's side goes beside it.")] = "",
    paper: Annotated[str, typer.Option(help="For --class: a4 or letter.")] = "a4",
    summary: Annotated[bool, typer.Option("--summary", help="Sum up several drill files, for the trainer.")] = False,
    as_json: Json = False,
) -> None:
    """Practise on a hidden fault.

    Ask for readings, name the mend, and see how your steps compare with the best ones.
    """
    from ohmtrail import workbench
    from ohmtrail.reports.drilled import write_summary

    if summary:
        found = workbench.summarise_drills(files)
        give("drill", found, lambda paper: write_summary(paper, found), as_json=as_json)
        return
    if len(files) != 1:
        raise typer.BadParameter("one FILE is practised on at a time; several are for --summary")
    if cards:
        _cards(files[0], cards, out, paper, level, function, seed, as_json=as_json)
        return
    opened = _opened(files[0], level, function, seed, unsplit, file, by)
    _Session(opened, "" if opened.records > 1 else files[0], as_json).run(hint=hint)


def _cards(name: str, count: int, out: str, paper: str, level: str, function: str, seed: int | None, *, as_json: bool) -> None:
    """Cards for a class, in two files."""
    import secrets

    from ohmtrail import workbench
    from ohmtrail.training import Wish

    if not out:
        raise typer.BadParameter("say where the cards go: --out cards.html")
    number = 1000 + secrets.randbelow(9000) if seed is None else seed
    ask_patience(f"Each of the {count} faults is planted and worked to its mend; a card takes some seconds, on a large machine half a minute.")
    made = workbench.class_cards(name, count, wish=Wish(level, function, number), out=out)  # type: ignore[arg-type]  # checked there
    written = workbench.save_cards(made, out, paper=paper)
    told = f"{len(made.cards)} cards in {written[0]}; what each reading shows, and the answers, in {written[1]}."
    give("drill", made, lambda page: page.line(told), as_json=as_json)


def _opened(name: str, level: str, function: str, seed: int | None, unsplit: bool, file: str, by: str) -> OpenDrill:
    """The drill that is there, or a new one."""
    import secrets

    from ohmtrail import workbench
    from ohmtrail.training import Wish

    if workbench.is_drill(name):
        return workbench.open_drill(name)
    number = 1000 + secrets.randbelow(9000) if seed is None else seed
    wish = Wish(level, function, number, unsplit)  # type: ignore[arg-type]  # checked there
    path = file or f"{Path(name).stem}-{number}.drill"
    if sys.stdin is not None and sys.stdin.isatty():
        sys.stderr.write("Planting a fault and making sure that it can be found ...\n")
    return workbench.new_drill(name, wish=wish, path=path, by=by, now=this_moment())


class _Session:
    """One sitting."""

    def __init__(self, opened: OpenDrill, harness: str, as_json: bool) -> None:
        self.opened, self.harness, self.as_json, self.refused = opened, harness, as_json, 0
        self.asked_by_hand = sys.stdin is not None and sys.stdin.isatty()

    def run(self, *, hint: bool) -> None:
        """Go on until the mend is made, or the learner stops."""
        from ohmtrail.reports.drilled import write_drill

        if self.opened.ended is not None or self.opened.course.mended:
            self._end()
            return
        self._show(lambda paper: write_drill(paper, self.opened, self.harness))
        if hint:
            self._hint()
        for line in self._lines():
            if not line.strip():
                continue
            if not self._do(line.strip()):
                return
        self._stop()

    def _lines(self) -> Iterator[str]:
        if not self.asked_by_hand:
            yield from sys.stdin or ()
            return
        import contextlib

        with contextlib.suppress(ImportError):
            import readline  # noqa: F401  # lines can be edited and called back
        while True:
            try:
                yield input("? ")
            except EOFError:
                put_out("\n")
                return
            except KeyboardInterrupt:
                put_out("\n")
                self._stop(code=130)

    def _do(self, line: str) -> bool:
        """One line; whether to go on."""
        from ohmtrail.errors import InputError

        words = line.casefold().split()
        try:
            if words in (["stop"], ["quit"], ["exit"]):
                self._stop()
                return False
            if words in (["give", "up"], ["give-up"]):
                self._end()
                return False
            if not self._told(words):
                self._ask(line)
        except InputError as error:
            self.refused += 1
            said = f"{error} No minutes." if str(error).endswith("?") else f"{error}. No minutes; 'help' says how to ask."
            self._show(lambda paper: paper.line(said, indent=1))
        if self.opened.course.mended:
            self._end()
            return False
        return True

    def _told(self, words: list[str]) -> bool:
        """Questions about the drill itself, which take no minutes."""
        from ohmtrail import workbench
        from ohmtrail.reports.drilled import HOW_TO_ASK, write_stand
        from ohmtrail.reports.figures import joined

        def names(paper: Paper) -> None:
            found = workbench.things_like(self.opened, " ".join(words[1:]), mends=words[0] == "mends")
            paper.line(joined(found) or "nothing like it", indent=1, hang=3)

        def how(paper: Paper) -> None:
            for head, text in HOW_TO_ASK:
                paper.pair(head, text, indent=3, column=23)

        if words[0] in ("names", "mends"):
            self._show(names)
        elif words == ["list"]:
            self._show(lambda paper: write_stand(paper, self.opened))
        elif words == ["help"]:
            self._show(how)
        elif words == ["hint"]:
            self._hint()
        else:
            return False
        return True

    def _ask(self, line: str) -> None:
        from ohmtrail import workbench
        from ohmtrail.reports.drilled import write_done

        done = workbench.ask(self.opened, line, now=this_moment())
        self._show(lambda paper: write_done(paper, self.opened, done))

    def _hint(self) -> None:
        from ohmtrail import workbench
        from ohmtrail.reports.drilled import write_done

        done = workbench.hint(self.opened, now=this_moment())
        self._show(lambda paper: write_done(paper, self.opened, done))

    def _show(self, write: Callable[[Paper], None]) -> None:
        if self.as_json:
            return
        paper = new_paper()
        write(paper)
        put_out(str(paper))

    def _end(self) -> None:
        from ohmtrail import workbench
        from ohmtrail.reports.as_json import drill_document
        from ohmtrail.reports.drilled import write_end

        end = workbench.end_drill(self.opened, now=this_moment())
        if self.as_json:
            give_document(drill_document(self.opened, end, exit_code=self._status(0)))
        self._show(lambda paper: write_end(paper, end))
        self._leave(0)

    def _stop(self, code: int = 0) -> None:
        from ohmtrail.reports.as_json import drill_document

        if self.as_json:
            give_document(drill_document(self.opened, None, exit_code=self._status(code)))
        self._show(lambda paper: paper.line(f"Kept. Go on with: ohmtrail drill {self.opened.path}", indent=1))
        self._leave(code)

    def _status(self, code: int) -> int:
        return code or (_WRONG if self.refused and not self.asked_by_hand else 0)

    def _leave(self, code: int) -> None:
        if status := self._status(code):
            raise typer.Exit(status)


_HELP = """What is hidden: the drill file holds the seed of the fault and a seal, never the fault, until the drill has
ended; no file that one would open, and no --json, shows it. It is no lock: whoever plants the same seed again and
gives up, or reads the program, can know it. After the end the file names the fault, so learners who share a seed
should not share files. The file can be altered by hand as any text can; the mark is for practice, no examination.

A fault that is planted makes its complaint appear, was found by the tool's own search with what can be reached, and
is told from all others, unless --unsplit allows others. Minutes run for what is done, never for a line that could not
be understood. The probe never slips; tolerances and the meter's error are as in life.
"""


def attach(app: typer.Typer) -> None:
    """Add the command.

    Parameters
    ----------
    app : typer.Typer
        The command line.
    """
    app.command(epilog=_HELP)(drill)
