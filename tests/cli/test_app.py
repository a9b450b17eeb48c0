"""Every command, as text and as JSON, with its exit status."""

import io
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.errors import BusyError

MACHINE = str(Path(__file__).parents[2] / "circuits" / "outboard.yaml")


def test_a_job_from_complaint_to_proof(started: Any) -> None:
    """start, next, read, suspects, why, strike and mend work on one file, and the file keeps what was read."""
    asked = started("next", "a.job")
    assert asked.status == 0
    assert "Careful" in asked.out and "ohmtrail read a.job" in asked.out
    kept = started("read", "a.job", "spark-top", "works", "with", "stop-3.from", "lifted")
    assert kept.out.startswith("Stored 2")
    assert "ohmtrail next a.job" in kept.out
    assert "stop-3" in started("suspects", "a.job").out
    assert "if this" in started("why", "a.job").out
    assert "no longer" not in started("strike", "a.job", "2", "--why", "slipped").out
    assert "To prove" in started("mend", "a.job", "stop-3").out
    proposed = started("next", "a.job", "--json")
    assert proposed.made["next"]["step"]["function"] == "spark-top"
    assert started("read", "a.job", "works").out.count("Proven") == 1
    done = started("next", "a.job")
    assert (done.status, "Proven" in done.out) == (0, True)
    assert "why: slipped" in Path("a.job").read_text(encoding="utf-8")


def test_json_on_every_command(started: Any) -> None:
    """One valid document with a schema number, and nothing else on standard output."""
    for words in (
        ("start", "b.job", "--harness", MACHINE, "--complaint", "spark-top weak"),
        ("read", "a.job", "ohms E1 frame 0.2 with battery off"),
        ("suspects", "a.job"),
        ("next", "a.job", "--unreachable", "tiller"),
        ("why", "a.job", "stop-1"),
        ("strike", "a.job", "2"),
        ("mend", "a.job", "renew stop-1"),
        ("trace", MACHINE, "charging"),
        ("check", MACHINE),
        ("schema",),
        ("netlist", MACHINE, "--function", "charging", "--fault", "stop-1 leak"),
        ("draw", "a.job"),
        ("sheet", MACHINE, "--function", "charging"),
        ("report", "a.job"),
        ("demo", "--harness", MACHINE, "--fault", "lantern-1 open"),
    ):
        ran = started(*words, "--json")
        assert ran.status == 0, ran.err
        assert (ran.made["schema"], ran.made["command"], ran.made["ok"]) == (1, words[0], True)
        assert ran.err == ""


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("read", "a.job", "ohms stop-buton.2 frame 3 with battery off"), 2, "stop-button.2"),
        (("read", "a.job", "ohms E1 frame 3"), 2, "with battery off"),
        (("read", "a.job", "volts E1 frame 3 with battery off"), 2, "with battery on"),
        (("read", "a.job", "ohms stop-1.from frame 3 with battery off"), 2, "with stop-1.from lifted"),
        (("read", "a.job", "3.2"), 2, "ohmtrail next"),
        (("read", "a.job", "--jsn"), 2, "no such option --jsn"),
        (("read", "b.job", "3.2"), 2, "'a.job'"),
        (("red", "a.job"), 2, "read"),
        (("suspects", "a.job", "--jsn"), 2, "--json"),
        (("suspects",), 2, "JOB"),
        (("strike", "a.job", "seven"), 2, "seven"),
        (("strike", "a.job", "9"), 2, "no reading 9"),
        (("mend", "a.job"), 2, "no mend was proposed"),
        (("mend", "a.job", "renew stop-99"), 2, "renew stop-"),
        (("why", "a.job", "nonsense"), 2, "nonsense"),
        (("next", "a.job", "--skip"), 2, "ohmtrail next a.job"),
        (("next", "a.job", "--unreachable", "moon"), 2, "moon"),
        (("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent"), 2, "is there already"),
        (("start", "b.job", "--harness", MACHINE, "--complaint", "spark-top works"), 2, "no complaint"),
        (("start", "b.job", "--harness", "none.yaml", "--complaint", "spark-top absent"), 2, "none.yaml"),
        (("check", "none.yaml"), 2, "none.yaml"),
        (("check", "."), 2, "folder"),
        (("trace", MACHINE, "sparktop"), 2, "spark-top"),
        (("trace", MACHINE, "spark-top", "--with", "lanyard sideways"), 2, "pulled"),
        (("demo", "--harness", MACHINE, "--fault", "stop-1 leek"), 2, "stop-1 leak"),
        (("demo", "--harness", MACHINE, "--fault", "stop-1 leak", "--severity", "-1"), 2, "above nought"),
        (("help", "jsno"), 2, "json"),
        (("help", "nothing"), 2, "no topic 'nothing'; 'ohmtrail help' alone lists the commands"),
        (("help", "chages"), 2, "did you mean 'changes'"),
        (("help", "changes", "ad"), 2, "no command of changes 'ad'; did you mean 'add'"),
        (("rehearse", MACHINE, "--count", "many"), 2, "'--count': 'many' is no whole number; write one"),
        (("rehearse", MACHINE, "--count", "-3"), 2, "'--count': '-3' is too small; write 0 or more"),
        (("page", "--port", "65536"), 2, "'--port': '65536' is too large; write 65535 or less"),
        (("demo", "--severity", "much"), 2, "'--severity': 'much' is no number; write one"),
        (("survey", MACHINE, "--year", "19o1"), 2, "'--year': '19o1' is no whole number"),
    ],
)
def test_a_mistake_is_one_sentence(started: Any, words: tuple[str, ...], status: int, said: str) -> None:
    """Exit 2, one line on standard error with the remedy, nothing on standard output, the job as it was."""
    before = Path("a.job").read_bytes()
    ran = started(*words)
    assert (ran.status, ran.out) == (status, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    assert Path("a.job").read_bytes() == before


def test_a_failure_is_json_too(started: Any) -> None:
    """With --json a failure is a document with its kind, and the sentence is on standard error as well."""
    ran = started("read", "a.job", "purple", "--json")
    assert ran.status == 2
    assert ran.made["ok"] is False
    assert ran.made["error"]["message"] in ran.err
    assert started("red", "--json").made["error"]["kind"] == "Usage"


def test_mistakes_in_a_harness_come_all_at_once(typed: Any) -> None:
    """FILE:LINE:COL at the start of each line, and the same as JSON."""
    text = Path(MACHINE).read_text(encoding="utf-8").replace("colour: VT/WH", "color: VT/WH", 2)
    Path("m.yaml").write_text(text, encoding="utf-8")
    ran = typed("check", "m.yaml")
    assert ran.status == 2
    assert [line.startswith("m.yaml:") for line in ran.err.splitlines()] == [True, True]
    assert "did you mean 'colour'" in ran.err
    assert len(typed("check", "m.yaml", "--json").made["error"]["mistakes"]) == 2


def test_serious_findings_are_status_1(typed: Any) -> None:
    """A machine that cannot work as described is not passed."""
    text = Path(MACHINE).read_text(encoding="utf-8")
    Path("m.yaml").write_text(text.replace("at_least: 60 V", "at_least: 600 V"), encoding="utf-8")
    ran = typed("check", "m.yaml")
    assert ran.status == 1
    assert ": serious: " in ran.out


def test_contradictions_are_status_1(started: Any) -> None:
    """Suspects that the readings do not bear out are no plain success."""
    for how in ("works", "absent", "absent"):
        assert started("read", "a.job", f"spark-top {how} with stop-1.from lifted").status == 0
    ran = started("suspects", "a.job")
    assert ran.status == 1
    assert "fits least" in ran.out
    assert "ohmtrail strike a.job" in ran.out


def test_a_changed_harness(typed: Any) -> None:
    """Refused with the remedy; accepted when that is said, and from then on."""
    Path("m.yaml").write_bytes(Path(MACHINE).read_bytes())
    assert typed("start", "a.job", "--harness", "m.yaml", "--complaint", "spark-top absent").status == 0
    with Path("m.yaml").open("a", encoding="utf-8") as file:
        file.write("# a remark\n")
    before = Path("a.job").read_bytes()
    for words in (("suspects", "a.job"), ("next", "a.job"), ("read", "a.job", "spark-top weak"), ("mend", "a.job", "stop-1")):
        ran = typed(*words)
        assert ran.status == 2
        assert "--accept-changed" in ran.err
    assert Path("a.job").read_bytes() == before
    assert typed("read", "a.job", "note", "new drawing", "--accept-changed").status == 0
    assert typed("suspects", "a.job").status == 0
    Path("m.yaml").unlink()
    assert "is gone" in typed("suspects", "a.job").err


def test_standard_input(started: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """'-' reads lines, or a harness."""
    monkeypatch.setattr("sys.stdin", io.StringIO("ohms E1 frame 0.1 with battery off\nnote hello\n"))
    ran = started("read", "a.job", "-")
    assert "Stored 2" in ran.out and "note: hello" in ran.out
    monkeypatch.setattr("sys.stdin", io.StringIO(Path(MACHINE).read_text(encoding="utf-8")))
    assert "0 serious" in started("check", "-").out


def test_a_value_below_nought_is_no_option(started: Any) -> None:
    """-0.3 is a reading, and so refused for what it is."""
    ran = started("read", "a.job", "ohms", "E1", "frame", "-0.3", "with", "battery", "off")
    assert "less than no resistance" in ran.err


def test_what_may_steer_a_terminal_is_taken_out(typed: Any) -> None:
    """Escape sequences in a name of a file or in a reading are not passed on."""
    ran = typed("check", "no\x1b[31mne.yaml")
    assert "\x1b" not in ran.err
    text = Path(MACHINE).read_text(encoding="utf-8").replace("harness: Skerry 9 outboard", 'harness: "Sk\\erry \\u202e9"', 1)
    Path("m.yaml").write_text(text, encoding="utf-8")
    ran = typed("check", "m.yaml")
    assert "\x1b" not in ran.out and "\u202e" not in ran.out


def test_help(typed: Any) -> None:
    """-h everywhere; the grammar with examples; the keys of --json; the version."""
    top = typed("-h")
    assert "ohmtrail demo" in top.out and "Exit status" in top.out and "Report mistakes" in top.out
    reading = typed("read", "--help").out
    for said in ("ohms module.STOP frame 3.2k", "with battery off", "OL"):
        assert said in reading
    assert "suspects[]" in typed("help", "json").out
    assert "with moving PLACE" in typed("help", "reading").out
    assert typed("help").out == top.out
    assert typed("help", "changes", "add").out == typed("changes", "add", "--help").out
    assert typed("--version").out.startswith("ohmtrail ")
    assert typed().status == 2


def test_a_bug_is_one_sentence_with_a_file(started: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """An unexpected exception: exit 70, its details in the user's cache, no traceback on the terminal."""

    def broken(*args: object, **kwargs: object) -> None:
        raise ZeroDivisionError("by \x1b nought")

    monkeypatch.setattr("ohmtrail.workbench.suspects", broken)
    ran = started("suspects", "a.job", "--json")
    assert (ran.status, ran.err.count("\n")) == (70, 1)
    assert "\x1b" not in ran.err
    assert ran.made["error"]["kind"] == "Bug"
    kept = list(Path("cache").rglob("mistake-*.txt"))
    assert len(kept) == 1
    assert "ZeroDivisionError" in kept[0].read_text(encoding="utf-8")


def test_a_job_in_use_is_status_75(started: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another program at the same file is told apart from a mistake."""

    def busy(*args: object, **kwargs: object) -> None:
        raise BusyError("'a.job' is in use by another program; try again when that is done")

    monkeypatch.setattr("ohmtrail.journal.append", busy)
    assert started("read", "a.job", "spark-top weak").status == 75
    assert started("next", "a.job").status == 75


def test_an_interrupt_is_status_130(started: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C says nothing."""

    def stop(*args: object, **kwargs: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("ohmtrail.workbench.suspects", stop)
    ran = started("suspects", "a.job")
    assert (ran.status, ran.out, ran.err) == (130, "", "")


def test_what_lies_on_the_bench_is_kept(typed: Any) -> None:
    """A clamp that is at hand may be used; without one, amps are refused."""
    begun = typed("start", "a.job", "--harness", MACHINE, "--complaint", "spark-top absent", "--clamp", "--no-test-lamp")
    assert "qualified person" in begun.out
    assert typed("read", "a.job", "amps", "lantern-1", "0.2", "with", "running").status == 0


def test_the_schema_overwrites_nothing(typed: Any, tmp_path: Path) -> None:
    """A harness named by mistake as the schema's file stays as it was; status 2."""
    file = tmp_path / "boat.yaml"
    file.write_text("harness: boat\n", encoding="utf-8")
    refused = typed("schema", "-o", str(file))
    assert (refused.status, "there already" in refused.err) == (2, True)
    assert file.read_text(encoding="utf-8") == "harness: boat\n"


def test_what_is_missing_is_told_with_what_to_write(typed: Any, tmp_path: Path) -> None:
    """A beginner who leaves places out reads what to write, not only what is missing."""
    file = tmp_path / "boat.yaml"
    file.write_text("harness: boat\nparts:\n  lamp: {kind: lamp, watts: 5 W}\nleads:\n  feed: {to: lamp.1}\n", encoding="utf-8")
    said = " ".join(typed("check", str(file)).err.split())
    for remedy in ("write 'places: {", "write 'at: PLACE'", "write 'from: PART.TERMINAL'"):
        assert remedy in said, remedy


def test_a_proven_job_says_what_is_left_to_do(typed: Any) -> None:
    """Switches back, places closed, papers: what a machine wants after the mend."""
    typed("start", "p.job", "--harness", MACHINE, "--complaint", "lantern-light absent")
    typed("read", "p.job", "volts lantern.58 frame 0.0 with lantern-switch on")
    typed("mend", "p.job", "renew lantern-2")
    told = typed("read", "p.job", "lantern-light works").out
    assert "Proven: every complaint works again." in told
    assert "Left to do: lantern-switch to off, close" in told
    assert "ohmtrail report p.job" in told
