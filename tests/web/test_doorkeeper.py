"""Who is let in, and what is refused."""

import os
from pathlib import Path
from typing import Any

import pytest

from ohmtrail import web
from ohmtrail.errors import InputError
from ohmtrail.job import read_job


def test_one_key_lets_in_one_device(serve: Any, begun: Any) -> None:
    """Without a key nobody comes in; a key is used up; whoever was let in stays."""
    begun()
    page = serve()
    stranger = page.let_in()
    first = page.keys[-1]
    stranger.cookie = ""
    for path in ("/", "/job/a.job", "/static/page.js", "/job/a.job/state", "/?key=wrong", "/?key="):
        assert stranger.ask("GET", path)[0] == 403, path
    key = page.keeper.key
    assert key == first
    assert stranger.ask("GET", f"/job/a.job?key={key}")[0] == 303
    assert stranger.ask("GET", f"/job/a.job?key={key}")[0] == 403
    assert page.keeper.key != key
    guest = page.let_in()
    assert guest.ask("GET", "/")[0] == guest.ask("GET", "/job/a.job/readings")[0] == 200


def test_foreign_hosts_and_pages_are_refused(serve: Any, begun: Any, tmp_path: Path) -> None:
    """DNS rebinding, forms and scripts of other pages, and requests that say nothing of where they come from."""
    begun()
    page = serve()
    guest = page.let_in()
    line = {"line": "spark-top works", "token": "x1"}
    assert guest.ask("GET", "/", Host="evil.example")[0] == 421
    assert guest.ask("GET", "/", Host=page.host.partition(":")[0])[0] == 421
    for headers in (
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": f"https://{page.host}"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
        {"Origin": ""},
    ):
        assert guest.ask("POST", "/job/a.job/answer", line, **headers)[0] == 403, headers
    assert guest.ask("GET", "/", Origin="http://evil.example")[0] == 403
    assert guest.ask("DELETE", "/job/a.job")[0] == 405
    assert guest.ask("POST", "/job/a.job/answer", {"line": "x" * 30_000})[0] == 413
    assert len(read_job(str(tmp_path / "a.job")).events) == 1


def test_paths_stay_in_the_folder(serve: Any, begun: Any, tmp_path: Path) -> None:
    """Neither dots, nor slashes in any writing, nor links lead out of it; a page for one job knows no other."""
    begun(name="inner.job")
    folder = tmp_path / "shop"
    folder.mkdir()
    os.link(tmp_path / "inner.job", tmp_path / "outer.job")
    (folder / "link.job").symlink_to(tmp_path / "outer.job")
    guest = serve(folder=folder).let_in()
    for name in ("..%2Fouter.job", "%2e%2e%2Fouter.job", "..%5Couter.job", "link.job", "%2Fetc%2Fpasswd", "a%00.job", "..", ".", "none.job"):
        for tail in ("", "/state", "/readings", "/report"):
            assert guest.ask("GET", f"/job/{name}{tail}")[0] in (404, 403), name
        assert guest.ask("POST", f"/job/{name}/answer", {"line": "undo"})[0] in (404, 403)
    for name in ("../evil", "/tmp/evil", "a/b", "", ".hidden", "x" * 200):
        form = {"name": name, "harness": "/etc/passwd", "function": "spark", "token": "t"}
        assert guest.ask("POST", "/begin", form)[0] == 422
    begun(name="other.job")
    alone = serve("inner.job").let_in()
    assert alone.ask("GET", "/")[1]["location"] == "/job/inner.job"
    assert alone.ask("GET", "/job/other.job")[0] == 404
    assert alone.ask("POST", "/begin", {"name": "new"})[0] == 422


@pytest.mark.parametrize("tail", ["", "/state", "/readings", "/report"])
def test_a_name_longer_than_a_file_can_have_is_no_job(serve: Any, begun: Any, tail: str) -> None:
    """It is answered like any other job that is not here."""
    begun()
    guest = serve().let_in()
    assert guest.ask("GET", f"/job/{'x' * 300}{tail}")[0] == 404
    assert guest.ask("POST", f"/job/{'x' * 300}/answer", {"line": "undo"})[0] == 404


def test_every_answer_has_its_policy(serve: Any, begun: Any) -> None:
    """No script but the page's own file, no frames, no guessing of types, nothing kept by the browser."""
    begun()
    guest = serve().let_in()
    for path in ("/", "/job/a.job", "/job/a.job/drawing", "/nowhere", "/static/page.js"):
        status, headers, _ = guest.ask("GET", path)
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy, path
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert status in (200, 404)
    assert "no-store" in guest.ask("GET", "/job/a.job")[1]["cache-control"]


def test_what_was_typed_is_escaped(serve: Any, begun: Any) -> None:
    """Remarks, errors and questions come back as text."""
    begun()
    guest = serve().let_in()
    nasty = '<script>alert(1)</script>"><img src=x onerror=alert(2)>'
    assert guest.ask("POST", "/job/a.job/answer", {"line": f"note {nasty}", "token": "n1"})[0] == 303
    pages = [guest.ask("GET", "/job/a.job/readings")[2], guest.ask("POST", "/job/a.job/answer", {"line": nasty, "token": "n2"})[2]]
    pages.append(guest.ask("GET", "/job/a.job/drawing?function=%3Cscript%3E")[2])
    for text in pages:
        assert "<script>" not in text and "<img" not in text
        assert "&lt;script&gt;" in text


def test_a_port_that_is_taken_is_one_sentence() -> None:
    """And says what to do."""
    one = web.listen(0)
    try:
        port = one.socket.getsockname()[1]
        one.socket.listen()
        with pytest.raises(InputError, match="try another with --port"):
            web.listen(port)
    finally:
        one.socket.close()


def test_the_code_says_the_address() -> None:
    """Drawn in half blocks, dark on light where the terminal can be told, and in ASCII."""
    text = web.address("192.0.2.7:8419", "k" * 32)
    plain, coloured, letters = web.code_lines(text), web.code_lines(text, colour=True), web.code_lines(text, plain=True)

    def widths(made: str) -> set[int]:
        return {len(line) for line in made.splitlines()}

    assert len(widths(plain)) == len(widths(letters)) == 1
    assert max(widths(plain)) <= 80
    assert letters.isascii()
    assert coloured.count("\x1b[0m") == len(coloured.splitlines())
    dark = {"█": "  ", "▀": "▄", "▄": "▀", " ": "█"}
    bare = [line.removeprefix("\x1b[38;5;16;48;5;231m").removesuffix("\x1b[0m") for line in coloured.splitlines()]
    assert [line[5] in dark for line in bare] == [True] * len(bare)
    assert bare[0].strip() == "" and set(plain.splitlines()[0]) == {"█"}
