"""Requests of every shape at every address: nothing breaks, nothing outside the folder is shown, no stranger writes."""

from __future__ import annotations

import http.client
import socket
import string
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ohmtrail import web

SECRET = "what is no job of the folder"
METHODS = ("GET", "GET", "GET", "POST", "POST", "HEAD", "PUT", "DELETE", "OPTIONS", "TRACE")
JOBS = ("a.job", "A.job", "secret.txt", "..", ".", "../secret.txt", "/etc/passwd", "a.job\0", "outer.job", "x" * 300)
TABS = ("", "drawing", "picture", "measure", "suspects", "readings", "state", "report", "answer", "nothing")
KEYS = ("line", "before", "tail", "token", "answers", "tab", "function", "how", "name", "harness", "kind", "red", "black", "key", "sorry")
WORDS = (
    "spark-top absent",
    "works",
    "4.3",
    "ohms stop-splice frame 3k",
    "undo",
    "why",
    "strike 1",
    "mend stop-2",
    "skip",
    "../secret.txt",
    "<script>alert(1)</script>",
    "{{7*7}}",
    "-1",
    "999999999999999999999",
    "1e400",
    "nan",
    "\ud7ff\x00\x1b[2J",
)
text = st.one_of(st.sampled_from(WORDS), st.text(max_size=40), st.text(alphabet=string.printable, max_size=200))
fields = st.dictionaries(st.one_of(st.sampled_from(KEYS), st.text(max_size=10)), text, max_size=5)
paths = st.one_of(
    st.builds(lambda job, tab: f"/job/{job}/{tab}" if tab else f"/job/{job}", st.one_of(st.sampled_from(JOBS), text), st.sampled_from(TABS)),
    st.builds(lambda name: f"/static/{name}", st.one_of(st.sampled_from(("page.js", "page.css", "../app.py", *JOBS)), text)),
    st.sampled_from(("/", "/begin", "//", "/%2e%2e/secret.txt", "/job/%2e%2e%2fsecret.txt", "/favicon.ico")),
    st.builds(lambda name: f"/{name}", text),
)


def _ask(host: str, method: str, path: str, asked: dict[str, str], form: dict[str, str], cookie: str) -> tuple[int, str]:
    line = http.client.HTTPConnection(host, timeout=120)
    query = urlencode(asked, errors="surrogatepass")
    target = quote(path, safe="/%") + (f"?{query}" if query else "")
    sent = {"Origin": f"http://{host}", "Content-Type": "application/x-www-form-urlencoded"} | ({"Cookie": cookie} if cookie else {})
    line.request(method, target, urlencode(form, errors="surrogatepass") if method == "POST" else None, sent)
    answer = line.getresponse()
    said = answer.read().decode("utf-8", errors="replace")
    line.close()
    return answer.status, said


def test_no_request_breaks_the_page_or_leaves_the_folder(serve: Any, begun: Any, tmp_path: Path) -> None:
    """As a guest: an answer below 500, and never a word of a file that is no job."""
    begun()
    (tmp_path / "secret.txt").write_text(SECRET, encoding="utf-8")
    page = serve()
    guest = page.let_in()

    @settings(max_examples=150, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(st.sampled_from(METHODS), paths, fields, fields)
    def scan(method: str, path: str, asked: dict[str, str], form: dict[str, str]) -> None:
        status, said = _ask(page.host, method, path, asked, form, guest.cookie)
        assert status < 500, (status, said)
        assert SECRET not in said
        assert "Traceback" not in said

    scan()


def test_no_stranger_reads_or_writes(serve: Any, begun: Any, tmp_path: Path) -> None:
    """Without a cookie: nothing but a refusal, and the job file as it was."""
    begun()
    page = serve()
    before = (tmp_path / "a.job").read_bytes()

    @settings(max_examples=100, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(st.sampled_from(METHODS), paths, fields, fields)
    def scan(method: str, path: str, asked: dict[str, str], form: dict[str, str]) -> None:
        status, _ = _ask(page.host, method, path, asked, form, "ohmtrail=guessed")
        assert status in (400, 403, 405, 413), status

    scan()
    assert (tmp_path / "a.job").read_bytes() == before
    assert sorted(item.name for item in tmp_path.iterdir() if item.suffix == ".job") == ["a.job"]


def test_a_mistake_of_ours_is_a_sentence(serve: Any, begun: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A bug behind an address is one sentence on a page, with the file that has its details."""
    begun()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def broken(*_: object) -> str:
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(web.views, "suspects_page", broken)
    monkeypatch.setitem(web.app._TABS, "suspects", broken)
    status, _, said = serve().let_in().ask("GET", "/job/a.job/suspects")
    assert status == 500
    assert "mistake of ours (ZeroDivisionError: nought)" in said
    assert "Traceback" not in said
    (kept,) = (tmp_path / "cache" / "ohmtrail").glob("mistake-*.txt")
    assert "ZeroDivisionError" in kept.read_text(encoding="utf-8")


def test_an_address_in_bare_letters_of_another_script_is_refused(serve: Any, begun: Any) -> None:
    """A query that is not written with per cent signs: a sentence, and no 5xx."""
    begun()
    page = serve()
    with socket.create_connection(page.host.split(":")) as line:
        line.sendall(f"GET /?key=Ω HTTP/1.1\r\nHost: {page.host}\r\nConnection: close\r\n\r\n".encode())
        assert line.makefile("rb").readline().split()[1] in (b"400", b"403")
