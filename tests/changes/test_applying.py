"""Records of changes are applied, undone and written over the text, on records drawn at random."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ohmtrail.changes import Applied, apply_record, parse_record
from ohmtrail.changes.applying import apply_steps
from ohmtrail.changes.record import Step
from ohmtrail.changes.rewriting import rewritten
from ohmtrail.changes.undoing import reverse_steps
from ohmtrail.harness import parse_harness
from ohmtrail.harness.text import load_text, read_tree

CIRCUITS = Path(__file__).parents[2] / "circuits"
TEXTS = {path.stem: load_text(path) for path in sorted(CIRCUITS.glob("*.yaml"))}
DATA: dict[str, dict[str, Any]] = {name: read_tree(text, file=name).data for name, text in TEXTS.items()}  # type: ignore[misc]

WORDS = st.sampled_from(["pvc", "1.5 mm2", "0.9 m", "BK/YE", "say: #1, {so}", "it's \"old\"", "- dash", "äöü Ω", "line\nline", "yes", "1.10", ""])


@st.composite
def steps_over(draw: st.DrawFn, data: dict[str, Any]) -> list[Step]:
    """Steps that each find what they expect; what they make need not be a machine."""
    made: list[Step] = []
    for _ in range(draw(st.integers(1, 12))):
        step = draw(one_step(data))
        made.append(step)
        data = apply_steps(data, [step], year=2024)
    return made


@st.composite
def one_step(draw: st.DrawFn, data: dict[str, Any]) -> Step:
    what = draw(st.sampled_from(["lead", "lead", "part", "function", "place", "loom", "machine"]))
    if what == "machine":
        return Step.model_validate({"machine": data["harness"], "corrected": {"note": draw(WORDS)}, "was": {"note": data.get("note", "")}})
    section = data.get(f"{what}s", {})
    verb = draw(st.sampled_from(["added", "removed", "corrected", "renewed", "exchanged"]))
    allowed = {"lead": "renewed", "part": "exchanged"}.get(what, "corrected")
    verb = allowed if verb in ("renewed", "exchanged") else verb
    if verb == "added" or not section:
        name = draw(st.sampled_from([f"new-{number}" for number in range(40)]).filter(lambda item: item not in section))
        value = draw(st.dictionaries(st.sampled_from(["from", "to", "called", "at"]), WORDS, min_size=1))
        return Step.model_validate({what: name, "added": {**value, "list": [draw(WORDS)], "map": {"a": draw(WORDS)}}})
    name = draw(st.sampled_from(sorted(section)))
    was = section[name]
    if verb == "removed":
        return Step.model_validate({what: name, "removed": "yes", "was": was})
    if verb == "exchanged":
        return Step.model_validate({what: name, "exchanged": {"kind": "horn", "at": draw(WORDS)}, "was": was})
    keys = draw(st.lists(st.sampled_from([*was, "covering", "odds"]), min_size=1, unique=True))
    keys = [key for key in keys if key not in ("from", "to")] or ["note"]
    now = {key: draw(WORDS) for key in keys}
    return Step.model_validate({what: name, verb: now, "was": {key: was.get(key, "") for key in keys}})


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(draw=st.data(), machine=st.sampled_from(sorted(TEXTS)))
def test_undoing_every_step_gives_the_original(draw: st.DataObject, machine: str) -> None:
    """Steps and then their reverses, last one first, leave the values as they were; no value passed in is touched."""
    before = read_tree(TEXTS[machine], file=machine).data
    steps = draw.draw(steps_over(DATA[machine]))
    after = apply_steps(DATA[machine], steps, year=2024)
    back = apply_steps(after, reverse_steps(DATA[machine], steps, year=2024))
    assert back == DATA[machine] == before
    assert parse_harness(read_tree(rewritten(TEXTS[machine], back), file=machine)) == parse_harness(read_tree(TEXTS[machine], file=machine))


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(draw=st.data(), machine=st.sampled_from(sorted(TEXTS)))
def test_the_text_reads_back_and_keeps_its_comments(draw: st.DataObject, machine: str) -> None:
    """Written over the old text, any changed values read back exactly, and no comment line is lost."""
    after = apply_steps(DATA[machine], draw.draw(steps_over(DATA[machine])), year=2024)
    made = rewritten(TEXTS[machine], after)
    assert read_tree(made, file=machine).data == after
    comments = [line for line in TEXTS[machine].splitlines() if line.lstrip().startswith("#")]
    assert [line for line in made.splitlines() if line.lstrip().startswith("#")] == comments
    assert rewritten(made, DATA[machine]).count("#") >= len(comments)


def thousand() -> str:
    """A record of a thousand changes: every fourth adds a lead, the others renew one as the last had left it."""
    leads = dict(DATA["trail-motorcycle"]["leads"])
    colours = {lead: values["colour"] for lead, values in leads.items()}
    entries = ["record: r\nmachine: Corrie 175 trail\nover: x.yaml\nchanges:\n"]
    for number in range(1000):
        lead, new = list(leads)[number * 7 % len(leads)], f"BK/{('YE', 'RD', 'GN')[number % 3]}"
        step = f"{{lead: {lead}, renewed: {{colour: {new}, covering: silicone}}, was: {{colour: {colours[lead]}}}}}"
        if number % 4:
            colours[lead] = new
        else:
            step = f"{{lead: more-{number}, added: {{from: earth-splice, to: E1, length: 1 m}}}}"
        entries.append(f"  - {{date: {2000 + number // 50}, by: a, why: b, steps: [{step}]}}\n")
    return "".join(entries)


def test_a_thousand_changes_take_less_than_a_second(paced: Callable[[float], float]) -> None:
    """The record read, applied, checked, and the harness written over its old text."""
    text, base = thousand(), TEXTS["trail-motorcycle"]
    before = time.process_time()
    made: Applied = apply_record(read_tree(base, file="x.yaml"), parse_record(read_tree(text, file="r.record")))
    now = rewritten(base, made.tree.data)  # type: ignore[arg-type]  # a mapping
    took = time.process_time() - before
    assert len(made.numbers) == 1000
    assert now.count("\n  more-") == 250
    assert took < paced(1.0), took
