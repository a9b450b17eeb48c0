"""What the page does, asked without a browser."""

import re
import threading
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ohmtrail import workbench
from ohmtrail.job import read_job

MOST_BYTES = 300_000


def _hidden(text: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', text)
    assert found is not None, name
    return found[1]


def test_a_job_is_begun_answered_and_reported(serve: Any, tmp_path: Path) -> None:
    """By plain forms, as a browser without script sends them."""
    guest = serve().let_in()
    listed = guest.ask("GET", "/begin")[2]
    machine = next(item for item in re.findall(r'href="/begin\?harness=([^"]*)"', listed) if "outboard" in item)
    page = guest.ask("GET", f"/begin?harness={machine}")[2]
    form = {"token": _hidden(page, "token"), "harness": _hidden(page, "harness"), "function": "spark-top", "how": "absent", "name": "my boat"}
    for _ in range(2):  # sent twice, begun once
        status, headers, _ = guest.ask("POST", "/begin", form)
        assert (status, headers["location"]) == (303, "/job/my%20boat.job")
    page = guest.ask("GET", "/job/my%20boat.job")[2]
    assert "Careful" in page and "ignition-module.CH" in page
    answer = {"token": _hidden(page, "token"), "answers": _hidden(page, "answers"), "line": "120"}
    for _ in range(3):
        assert guest.ask("POST", "/job/my%20boat.job/answer", answer)[0] == 303
    assert len(read_job(str(tmp_path / "my boat.job")).events) == 2
    report = guest.ask("GET", "/job/my%20boat.job/report")
    assert report[0] == 200 and "Skerry" in report[2]
    assert "script-src" not in report[1]["content-security-policy"]
    assert "my boat.job" in guest.ask("GET", "/")[2]


def test_a_line_that_cannot_be_taken_stays_in_sight(serve: Any, begun: Any, tmp_path: Path) -> None:
    """One sentence, what was typed, and nothing stored."""
    begun()
    guest = serve().let_in()
    status, _, text = guest.ask("POST", "/job/a.job/answer", {"line": "ohms nowhere frame 3", "tab": "readings", "token": "b1"})
    assert status == 422
    assert 'id="sorry"' in text and 'value="ohms nowhere frame 3"' in text
    form = {"line": "3", "before": "ohms plug-top.HT frame", "tail": "with teapot on", "red": "plug-top.HT", "black": "frame", "tab": "measure"}
    status, _, text = guest.ask("POST", "/job/a.job/answer", form)
    assert status == 422 and "teapot" in text
    assert len(read_job(str(tmp_path / "a.job")).events) == 1


def test_two_devices_and_the_terminal_see_each_other(serve: Any, begun: Any) -> None:
    """The mark changes with every record, whoever adds it; what is shown follows."""
    begun()
    page = serve()
    one, two = page.let_in(), page.let_in()
    before = two.state("a.job")
    assert one.ask("POST", "/job/a.job/answer", {"line": "spark-bottom works", "token": "d1"})[0] == 303
    assert two.state("a.job") != before
    assert "spark-bottom: works" in two.ask("GET", "/job/a.job/readings")[2]
    workbench.read(page.folder / "a.job", "note from the terminal", now=datetime.now(UTC))
    assert "from the terminal" in one.ask("GET", "/job/a.job/readings")[2]


def test_a_restart_between_sending_and_hearing(serve: Any, begun: Any, tmp_path: Path) -> None:
    """What a phone sends again to a server that was started again is recorded once."""
    begun()
    form = {"line": "spark-bottom works", "token": "r1"}
    for _ in range(2):
        assert serve().let_in().ask("POST", "/job/a.job/answer", form)[0] == 303
    assert len(read_job(str(tmp_path / "a.job")).events) == 2


def _load(page: Any, job: str, clients: int, seconds: float) -> tuple[list[str], list[str]]:
    """Let clients look, poll and add readings at once, some sent twice; give what was sent and what went wrong."""
    sent: list[str] = []
    wrong: list[str] = []
    end = time.monotonic() + seconds

    guests = [page.let_in() for _ in range(clients)]

    def one(number: int) -> None:
        guest, count = guests[number], 0
        while time.monotonic() < end:
            count += 1
            word = f"by {number} the {count}th"
            form = {"line": f"note {word}", "token": f"load-{number}-{count}"}
            if count % 5 == number % 5:
                form["line"], word = f"volts battery.+ frame 12.{number:02d}{count:03d}", f"{number}-{count}"
            statuses = [guest.ask("POST", f"/job/{job}/answer", form)[0] for _ in range(1 + (count % 3 == 0))]
            sent.append(word)
            statuses += [guest.ask("GET", path)[0] for path in (f"/job/{job}/state", f"/job/{job}/readings")]
            if number % 7 == 0:
                statuses.append(guest.ask("GET", f"/job/{job}")[0])
            wrong.extend(f"{word}: {status}" for status in statuses if status not in (200, 303))

    def guarded(number: int) -> None:
        try:
            one(number)
        except Exception as error:  # whatever it is, it is reported
            wrong.append(repr(error))

    threads = [threading.Thread(target=guarded, args=(number,)) for number in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(seconds + 300)
        assert not thread.is_alive()
    return sent, wrong


def _under_load(serve: Any, tmp_path: Path, seconds: float, clients: int = 20) -> None:
    """Twenty clients on one server: no error, nothing lost, nothing doubled."""
    page = serve(ahead=True)
    sent, wrong = _load(page, "a.job", clients, seconds)
    assert not wrong
    state = read_job(str(tmp_path / "a.job"))
    kept = list(state.notes) + [event.token.removeprefix("load-") for event in state.events if event.token]
    assert sorted(kept) == sorted(sent)
    assert len(sent) >= clients


def test_twenty_clients(serve: Any, begun: Any, tmp_path: Path) -> None:
    """For five seconds, in the gate."""
    begun()
    _under_load(serve, tmp_path, 5.0)


@pytest.mark.slow
def test_twenty_clients_for_a_minute(serve: Any, begun: Any, tmp_path: Path) -> None:
    """The whole minute."""
    begun("trail-motorcycle", "spark absent")
    _under_load(serve, tmp_path, 60.0)


@pytest.mark.slow
@pytest.mark.parametrize("machine", ["trail-motorcycle", "utility-car"])
def test_weight(serve: Any, begun: Any, machine: str) -> None:
    """A page with its drawing, style and script is below 300 kB even before it is packed."""
    begun(machine, "spark absent")
    guest = serve().let_in()
    files = sum(len(guest.ask("GET", f"/static/{name}")[2].encode()) for name in ("page.css", "page.js", "drawing.css"))
    for tab in ("/drawing", "/drawing?kind=path", "/picture?kind=path"):
        text = guest.ask("GET", f"/job/a.job{tab}")[2]
        assert text.count("data-point=") > 10
        assert len(text.encode()) + files < MOST_BYTES
    assert "://" not in text.replace("http://www.w3.org/2000/svg", "")
