"""Cards of a class as HTML: for the learners what may be asked; for the trainer what is shown, and the answers."""

from __future__ import annotations

from itertools import groupby

from ohmtrail.diagnosis import Looked, Seen, Step, cautions_for
from ohmtrail.harness import FRAME, Harness
from ohmtrail.reports.figures import joined, level_text, minutes_text, value_text
from ohmtrail.reports.html import render
from ohmtrail.reports.phrases import evidence_text, place_text, step_text
from ohmtrail.reports.settings import setting_text
from ohmtrail.training.cards import Card, CardRow, ClassCards
from ohmtrail.training.marking import DANGER, LUCK

__all__ = ["answers_html", "cards_html", "cards_json"]

_QUANTITIES = {"ohms": "ohms", "volts": "volts DC", "ac": "volts AC", "peak": "peak volts", "diode": "diode range", "beep": "beeper", "lamp": "test lamp", "amps": "clamp"}


def _complaint(card: Card) -> str:
    seen = card.drill.complaint
    item = card.drill.case.harness.functions[seen.function]
    called = item.called or seen.function.replace("-", " ")
    return f"{called[:1].upper()}{called[1:]}: {level_text(seen.level, sometimes=seen.sometimes)}"


def _owner(card: Card) -> str:
    seen = card.drill.complaint
    said = card.drill.case.harness.functions[seen.function].fails_as
    return said if said and seen.level == 0 and not seen.sometimes else ""


def _what(step: Step) -> str:
    if step.kind == "measure":
        return _QUANTITIES[step.quantity]
    return "watch" if step.kind == "watch" else "look at"


def _where(step: Step) -> tuple[str, str]:
    if step.kind == "measure":
        black = "" if step.quantity == "amps" else "frame" if step.black == FRAME else step.black
        return ("frame" if step.red == FRAME else step.red), black
    return step.function or step.element, ""


def _shown(row: CardRow) -> str:
    item = row.shown
    if isinstance(item, Looked):
        return "damaged" if item.damaged else "looks sound"
    if isinstance(item, Seen):
        return level_text(item.level, sometimes=item.sometimes)
    return "flickers" if item.flickers else value_text(item.quantity, item.value)


def _view(row: CardRow) -> dict[str, object]:
    red, black = _where(row.step)
    setting = setting_text(row.step.setting) if row.step.kind == "watch" else ""
    return {"number": row.number, "what": _what(row.step), "red": red, "black": black, "setting": setting, "minutes": f"{row.minutes:.1f}"}


def _group(row: CardRow) -> str:
    """How the machine is set for a measurement; functions say it on their own line."""
    return f"with {setting_text(row.step.setting)}" if row.step.kind == "measure" else ""


def _places(harness: Harness, card: Card) -> list[dict[str, object]]:
    made: list[dict[str, object]] = []
    for place, rows in groupby(card.rows, key=lambda row: row.place):
        head = place_text(harness, place) if place else "From outside, nothing opened"
        opened = f"{minutes_text(harness.places[place].reach)}, once" if place else ""
        inside = harness.places[place].inside if place else None
        if inside:
            opened += f", and {minutes_text(harness.places[inside].reach)} once for {harness.places[inside].called or inside}"
        groups = [{"setting": text, "rows": [_view(row) for row in held]} for text, held in groupby(rows, key=_group)]
        made.append({"head": f"{head[:1].upper()}{head[1:]}", "opened": opened, "groups": groups})
    return made


def _card_view(harness: Harness, card: Card) -> dict[str, object]:
    briefs = dict.fromkeys(item.brief for row in card.rows for item in cautions_for(harness, row.step))
    return {
        "number": card.number,
        "complaint": _complaint(card),
        "owner": _owner(card),
        "faults": "Two faults are hidden." if len(card.drill.planted) > 1 else "One fault is hidden.",
        "careful": "; ".join(briefs),
        "places": _places(harness, card),
        "shown": [{"number": row.number, "shown": _shown(row)} for row in card.rows],
    }


def cards_html(made: ClassCards, *, paper: str = "a4") -> str:
    """Write the learners' cards.

    Parameters
    ----------
    made : ClassCards
        The cards.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        One HTML file: for each card the complaint and what may be asked, with boxes for the answers.

    Raises
    ------
    UnknownName
        No such paper.
    """
    cards = [_card_view(made.harness, card) for card in made.cards]
    cautions = dict.fromkeys(item.text for card in made.cards for row in card.rows for item in cautions_for(made.harness, row.step))
    return render(
        "drill-cards.html", title="Fault-finding cards", machine=made.harness.harness, paper=paper, cards=cards, cautions=list(cautions)
    )


def _answer(card: Card) -> dict[str, object]:
    rows = {row.number: row for row in card.rows}
    planted = card.drill.planted
    return {
        "number": card.number,
        "complaint": _complaint(card),
        "faults": joined([item.fault.words for item in planted]),
        "mends": joined(list(card.drill.mends)),
        "best": [f"{n}: {evidence_text(rows[n].shown, setting=False)}" for n in card.best],
        "minutes": minutes_text(card.best_minutes),
        "marks": [f"{mark} up to {minutes_text(minutes)}" for mark, minutes in card.marks],
        "seed": card.drill.wish.seed,
    }


def answers_html(made: ClassCards, *, paper: str = "a4") -> str:
    """Write the trainer's side.

    Parameters
    ----------
    made : ClassCards
        The cards.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        One HTML file: for each card a page of what every reading shows, then the answers of all.

    Raises
    ------
    UnknownName
        No such paper.
    """
    cards = [_card_view(made.harness, card) for card in made.cards]
    return render(
        "drill-answers.html", title="Fault-finding cards: the trainer's side", machine=made.harness.harness, paper=paper,
        cards=cards, answers=[_answer(card) for card in made.cards], danger=DANGER, luck=LUCK,
    )  # fmt: skip


def cards_json(made: ClassCards) -> list[dict[str, object]]:
    """Give the cards as plain values, answers included.

    Parameters
    ----------
    made : ClassCards
        The cards of a class.

    Returns
    -------
    list of dict
        One for each card.
    """
    return [
        {
            "number": card.number,
            "seed": card.drill.wish.seed,
            "complaint": _complaint(card),
            "fault": joined([item.fault.words for item in card.drill.planted]),
            "mends": list(card.drill.mends),
            "best": list(card.best),
            "best_minutes": card.best_minutes,
            "readings": [{"number": row.number, "place": row.place or None, "asked": step_text(row.step), "minutes": row.minutes, "shown": _shown(row)} for row in card.rows],
        }
        for card in made.cards
    ]
