"""A page that is served, and somebody who is let in."""

import http.client
import json
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from ohmtrail import web, workbench

CIRCUITS = Path(__file__).parents[2] / "circuits"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
NOW = datetime(2031, 5, 4, 9, 12, tzinfo=UTC)


@dataclass
class Served:
    """A page in its own thread."""

    folder: Path
    host: str
    keeper: web.Doorkeeper
    keys: list[str] = field(default_factory=list)

    @property
    def address(self) -> str:
        """The address that lets one device in."""
        return web.address(self.host, self.keeper.key)

    def let_in(self) -> "Visitor":
        """Somebody with a cookie."""
        visitor = Visitor(self.host)
        status, headers, _ = visitor.ask("GET", f"/?key={self.keeper.key}")
        assert status == 303
        visitor.cookie = headers["set-cookie"].partition(";")[0]
        return visitor


@dataclass
class Visitor:
    """A client without a browser."""

    host: str
    cookie: str = ""

    def ask(self, method: str, path: str, form: dict[str, str] | None = None, **headers: str) -> tuple[int, dict[str, str], str]:
        """One request; every header can be given."""
        line = http.client.HTTPConnection(self.host, timeout=120)
        sent = {"Cookie": self.cookie} if self.cookie else {}
        if method == "POST":
            sent |= {"Origin": f"http://{self.host}", "Content-Type": "application/x-www-form-urlencoded"}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        line.request(method, path, urlencode(form) if form is not None else None, {k: v for k, v in sent.items() if v})
        answer = line.getresponse()
        text = answer.read().decode("utf-8", errors="replace")
        line.close()
        return answer.status, {name.lower(): value for name, value in answer.getheaders()}, text

    def state(self, job: str) -> str:
        """The mark of a job."""
        return str(json.loads(self.ask("GET", f"/job/{job}/state")[2])["mark"])


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """Serve a folder or a job; all stop at the end."""
    running: list[tuple[Any, threading.Thread, Any]] = []

    def go(only: str = "", folder: Path = tmp_path, *, ahead: bool = False) -> Served:
        listening = web.listen(0)
        keys: list[str] = []
        keeper = web.Doorkeeper(web.make_app(web.Shelf(folder, only, ahead=ahead)), listening.hosts, keys.append)
        server = web.server_of(keeper)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening.socket]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        running.append((server, thread, listening.socket))
        return Served(folder, listening.hosts[0], keeper, keys)

    yield go
    for server, thread, made in running:
        server.should_exit = True
        thread.join(20)
        made.close()


@pytest.fixture
def begun(tmp_path: Path) -> Callable[..., str]:
    """Begin a job in the folder; give its file's name."""

    def go(machine: str = "outboard", complaint: str = "spark-top absent", name: str = "a.job") -> str:
        workbench.start(tmp_path / name, harness=CIRCUITS / f"{machine}.yaml", complaint=complaint, now=NOW)
        return name

    return go


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser without a window."""
    api = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("needs a chromium")
    with api.sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()
