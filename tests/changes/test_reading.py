"""Record files: every mistake with its place, dates that are dates, order that is kept."""

from __future__ import annotations

from datetime import date

import pytest

from ohmtrail.changes import Day, parse_record
from ohmtrail.errors import HarnessError
from ohmtrail.harness.text import read_tree

HEAD = "record: r\nmachine: m\nover: m.yaml\nchanges:\n"
ONE = "  - {date: 2024-05-11, by: a, why: b, steps: [{lead: x, renewed: {covering: pvc}, was: {covering: rubber}}]}\n"


def read(text: str) -> object:
    """A record from its text."""
    return parse_record(read_tree(text, file="r.record")).record


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("  - {date: 2024-13, by: a, why: b, steps: [{lead: x, removed: yes, was: {to: y}}]}", "5:6: date: '2024-13' is not a day"),
        ("  - {date: soon, by: a, why: b, undoes: [1]}", "is not a date such as 2024-05-11"),
        ("  - {date: 2024, by: a, why: b}", "either its steps, or the numbers"),
        ("  - {date: 2024, why: b, undoes: [1]}", "'by' is missing"),
        ("  - {date: 2024, by: a, why: b, undoes: [1]}", "undoes change 1, which does not stand above it"),
        ("  - {date: 2024, by: a, why: b, steps: [{lead: x, renewed: {covering: pvc}}]}", "'was' is missing"),
        ("  - {date: 2024, by: a, why: b, steps: [{lead: x, exchanged: {kind: horn}, was: {a: b}}]}", "a lead cannot be exchanged"),
        ("  - {date: 2024, by: a, why: b, steps: [{lead: x, part: y, removed: yes, was: {a: b}}]}", "exactly one of lead, part"),
        ("  - {date: 2024, by: a, why: b, steps: [{lead: x, moved: {to: c.1}, was: {from: a.1}}]}", "does not say what to was"),
        ("  - {date: 2024, by: a, why: b, steps: [{lead: x, renewd: {covering: pvc}, was: {a: b}}]}", "did you mean 'renewed'?"),
        (ONE + "  - {date: 2023, by: a, why: b, undoes: [1]}", "6:6: change 2 is dated 2023, before change 1 of 2024-05-11"),
    ],
)
def test_mistakes_are_told_with_their_place(entry: str, said: str) -> None:
    """Line, column, what is wrong and what to write."""
    with pytest.raises(HarnessError) as caught:
        read(HEAD + entry + "\n")
    assert said in str(caught.value)
    assert str(caught.value).startswith("r.record:")


def test_dates_may_be_known_to_the_month_or_year_only() -> None:
    """ISO 8601 with reduced precision; the order within what is not known is the file's."""
    assert Day.of("1987").first == date(1987, 1, 1)
    assert Day.of("2024-02").last == date(2024, 2, 29)
    record = read(HEAD + ONE + ONE.replace("2024-05-11", "2024"))
    assert [str(change.date) for change in record.changes] == ["2024-05-11", "2024"]  # type: ignore[attr-defined]
