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
    try:
        said = answer.read().decode("utf-8", errors="replace")
    except ConnectionResetError:
        # refused before the body was taken: the server hung up once its status was out
        said = ""
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


def _send(host: str, method: str, path: str, headers: list[tuple[str, str]], body: bytes) -> tuple[int, str]:
    """One request whose headers are all said, each as often as it is given."""
    line = http.client.HTTPConnection(host, timeout=120)
    line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in headers:
        line.putheader(name, value.encode("latin-1"))
    line.putheader("Content-Length", str(len(body)))
    line.endheaders(body)
    answer = line.getresponse()
    try:
        said = answer.read().decode("utf-8", errors="replace")
    except ConnectionResetError:
        # refused before the body was taken: the server hung up once its status was out
        said = ""
    line.close()
    return answer.status, said


def _names(right: str) -> st.SearchStrategy[str]:
    """Names of other hosts, and what looks like the right one."""
    bare, _, port = right.partition(":")
    near = (
        "evil.example", f"evil.example:{port}", bare, f"{bare}:", f"{bare}:0{port}", f"{right}.evil.example", f"evil.example/{right}", f"you@{right}",
        f"{right}, evil.example", f"evil.example, {right}", f"[::1]:{port}", f"0.0.0.0:{port}", f"2130706433:{port}", f"{right}/", f"{right}#", "null",
        f"http://{right}", "", "*", "127.1", f"localhost.:{port}",
    )  # fmt: skip
    # a header's value is any text without line ends, and blanks around it do not count (RFC 9110, section 5.5)
    any_text = st.text(st.characters(min_codepoint=33, max_codepoint=255, exclude_characters="\x7f"), max_size=30)
    return st.one_of(st.sampled_from(near), any_text).filter(lambda name: name.casefold() not in (right, f"localhost:{port}"))


FORMS = (
    ("/job/a.job/answer", {"line": "spark-top works", "token": "x1"}),
    ("/job/a.job/answer", {"line": "strike 1", "token": "x2"}),
    ("/begin", {"name": "new", "harness": "outboard.yaml", "function": "spark-top", "how": "absent", "token": "x3"}),
)


def _folder(place: Path) -> dict[str, bytes]:
    return {str(item.relative_to(place)): item.read_bytes() for item in place.rglob("*") if item.is_file()}


def test_foreign_names_and_pages_are_refused_even_to_a_guest(serve: Any, begun: Any, tmp_path: Path) -> None:
    """With a cookie, but under another host's name or from another host's page: a refusal, and nothing is written."""
    begun()
    page = serve()
    guest = page.let_in()
    before, key = _folder(tmp_path), page.keeper.key
    foreign = _names(page.host)
    origins = foreign.flatmap(lambda name: st.sampled_from((name, f"http://{name}", f"https://{name}", f"https://{page.host}")))

    @settings(max_examples=200, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(st.sampled_from(METHODS), st.one_of(st.sampled_from(FORMS), st.tuples(paths, fields)), st.one_of(st.none(), foreign), origins, st.booleans(), st.booleans())
    def scan(method: str, asked: tuple[str, dict[str, str]], host: str | None, origin: str, twice: bool, keyed: bool) -> None:
        headers = [("Cookie", guest.cookie), ("Content-Type", "application/x-www-form-urlencoded")]
        right = [("Origin", f"http://{page.host}")]
        if host is None:  # under the right name, from a wrong page, even where the right one is said too
            headers += [("Host", page.host), *(right if twice else []), ("Origin", origin)]
        else:
            headers += [("Host", host), *([("Host", page.host)] if twice else []), *right]
        path, form = asked
        status, said = _send(page.host, method, quote(path, safe="/%") + (f"?key={key}" if keyed else ""), headers, urlencode(form, errors="surrogatepass").encode())
        assert status in (400, 403, 405, 421), (status, said)
        assert "Traceback" not in said

    scan()
    assert _folder(tmp_path) == before
    assert page.keeper.key == key
    # the same words, said under the right name from the right page, are taken: it was the headers that were refused
    honest = [("Cookie", guest.cookie), ("Host", page.host), ("Origin", f"http://{page.host}")]
    assert _send(page.host, "POST", FORMS[0][0], honest, urlencode(FORMS[0][1]).encode())[0] == 303


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
