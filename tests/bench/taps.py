"""How long a tap takes: ``python tests/bench/taps.py circuits/utility-car.yaml --function spark --fault "stop-2 leak"``.

A whole job is worked by taps on the served page, in a browser of phone size: the page is a process of its own, the
technician's meter is a machine with the planted fault. Timed is from the tap to the new page with the next step on
it. ``--thinks 20`` is how many seconds the technician takes over every step, during which the page works ahead;
0 answers at once. The server's processor time stands beside every wait: on a machine that
has other work the wait says little.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import urlsplit

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of small products only wait for each other
sys.path.insert(0, str(Path(__file__).parents[2]))

from figures import Line, told
from tests.conftest import said_of

from ohmtrail import workbench
from ohmtrail.harness import load_harness
from ohmtrail.job import read_job

#: seconds that a tap may take, by machine: the smaller one is for the motorcycle's size
LIMIT_S = {"utility-car": 1.0}
ELSE_S = 0.5
MOST_TAPS = 25
#: starts the clock at the tap; and whether the page of the next step is there
CLOCK = "() => document.addEventListener('click', () => { window.tapped = performance.now(); }, {capture: true, once: true})"
NEW = "document.querySelector('#page').dataset.mark !== mark && !document.body.classList.contains('busy')"


@dataclass(frozen=True)
class Tap:
    """One tap.

    Attributes
    ----------
    step : str
        What was answered, and how.
    wait_s : float
        Seconds from the tap to the next step.
    cpu_s : float
        Processor seconds of the server meanwhile.
    """

    step: str
    wait_s: float
    cpu_s: float


@contextmanager
def _served(folder: Path) -> Iterator[tuple[str, int]]:
    """The page of a folder, in a process of its own: its address and number."""
    words = [sys.executable, "-c", "from ohmtrail.cli import main; main()", "page", str(folder), "--port", "0", "--json"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            text = "".join(iter(server.stdout.readline, "}\n")) + "}"  # its document ends at the first column
            yield json.loads(text)["page"]["address"], server.pid
        finally:
            server.terminate()


def _cpu_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _tap(page: Any, said: str) -> None:
    form = page.locator("section.step form.send").first
    key = form.locator(f'[data-line="{said}"], [data-line="{said.upper()}"]' if said != "done" else "button.big")
    if not key.count():
        form.locator("input#value").fill(said)
        key = form.locator(".enter")
    key.first.tap()


def _job(page: Any, pid: int, job: Path, planted: Any, thinks_s: float) -> Iterator[Tap]:
    for _ in range(MOST_TAPS):
        if "Proven" in page.locator("h1").first.inner_text():
            return
        step = read_job(str(job)).proposed
        if step is None:
            return
        said = said_of(planted, step)
        time.sleep(thinks_s)
        before, spent = page.locator("#page").get_attribute("data-mark"), _cpu_s(pid)
        # the clock runs in the page, from the tap itself
        page.evaluate(CLOCK)
        _tap(page, said)
        page.wait_for_function(f"mark => {NEW}", arg=before, polling=10)
        wait = page.evaluate("() => (performance.now() - window.tapped) / 1000")
        yield Tap(f"{step.kind} {step.red or step.function or step.element or ''}: {said}", wait, _cpu_s(pid) - spent)


def worked(file: Path, function: str, fault: str, *, thinks_s: float) -> list[Tap]:
    """Work one job by taps; give every tap, the first page left out."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with tempfile.TemporaryDirectory() as made, sync_playwright() as playwright:
        job = Path(made) / "a.job"
        workbench.start(job, harness=file.resolve(), complaint=f"{function} absent", now=datetime.now(UTC))
        planted = workbench.simulate(load_harness(file), fault, year=2026, seed=1)
        with _served(job.parent) as (address, pid):
            browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            page = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True).new_page()
            page.set_default_timeout(120_000)
            page.goto(address)
            page.goto("{0.scheme}://{0.netloc}/job/a.job".format(urlsplit(address)))
            taps = []
            for tap in _job(page, pid, job, planted, thinks_s):
                print(f"{tap.wait_s:6.2f} s, processor {tap.cpu_s:5.2f} s  {tap.step}", file=sys.stderr, flush=True)
                taps.append(tap)
            browser.close()
    return taps


def lines_of(taps: Sequence[Tap], limit_s: float, about: str) -> Iterator[Line]:
    """Figures of one job."""
    for name, found in (("wait", [x.wait_s for x in taps]), ("server's processor time", [x.cpu_s for x in taps])):
        over = sum(x > limit_s for x in found)
        how = f"median {median(found):.2f} s, {over} of {len(taps)} taps over"
        yield Line(f"{about}: slowest {name}", f"{max(found):.2f} s", f"{limit_s:g} s", not over, how)


def main() -> int:
    """Measure, and print the table; status 1 where a target was missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", type=Path)
    parser.add_argument("--function", default="spark")
    parser.add_argument("--fault", nargs="*", default=["stop-2 leak"], help="as 'ohmtrail drill' names them; a job for each")
    parser.add_argument("--thinks", type=float, default=20.0, help="seconds that the technician takes over a step")
    asked = parser.parse_args()
    lines: list[Line] = []
    for fault in asked.fault:
        taps = worked(asked.file, asked.function, fault, thinks_s=asked.thinks)
        lines += lines_of(taps, LIMIT_S.get(asked.file.stem, ELSE_S), f"{asked.file.stem}, {fault}, {asked.thinks:g} s a step")
    print(told(lines))
    return int(not all(line.met for line in lines))


if __name__ == "__main__":
    sys.exit(main())
