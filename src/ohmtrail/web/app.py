"""The page's addresses: each takes a request apart, calls the workbench and fills a template."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from functools import partial
from urllib.parse import parse_qsl, quote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from ohmtrail import workbench
from ohmtrail.errors import InputError, JobError, OhmtrailError
from ohmtrail.reports.report import report_html
from ohmtrail.storage.mistakes import mistake_sentence
from ohmtrail.web import views
from ohmtrail.web.doorkeeper import PAPER_POLICY
from ohmtrail.web.pages import fill, static_file
from ohmtrail.web.shelf import Shelf

__all__ = ["make_app"]

Form = dict[str, str]
#: tabs of a job, by the last part of their address
_TABS: dict[str, Callable[[Shelf, str, Form], str]] = {
    "": views.next_page,
    "drawing": views.drawing_page,
    "picture": views.picture_piece,
    "measure": views.measure_page,
    "suspects": views.suspects_page,
    "readings": views.readings_page,
}


def make_app(shelf: Shelf) -> Starlette:
    """Make the page.

    Parameters
    ----------
    shelf : Shelf
        The jobs it may touch.

    Returns
    -------
    Starlette
        To be put behind a `Doorkeeper`.
    """
    bound = {name: partial(call, shelf) for name, call in (("home", _home), ("begin", _begin), ("tab", _tab), ("state", _state))}
    bound |= {"answer": partial(_answer, shelf), "report": partial(_report, shelf)}
    routes = [
        Route("/", _guarded(bound["home"])),
        Route("/begin", _guarded(bound["begin"]), methods=["GET", "POST"]),
        Route("/static/{name}", _static),
        Route("/job/{job}", _guarded(bound["tab"])),
        Route("/job/{job}/state", _guarded(bound["state"])),
        Route("/job/{job}/answer", _guarded(bound["answer"]), methods=["POST"]),
        Route("/job/{job}/report", _guarded(bound["report"])),
        Route("/job/{job}/{tab}", _guarded(bound["tab"])),
    ]
    return Starlette(routes=routes, middleware=[Middleware(GZipMiddleware, minimum_size=1000)])


def _guarded(call: Callable[[Request], Awaitable[Response]]) -> Callable[[Request], Awaitable[Response]]:
    """An address whose errors are one sentence on a page."""

    async def answering(request: Request) -> Response:
        try:
            return await call(request)
        except OhmtrailError as error:
            status = 404 if isinstance(error, JobError) and "no job" in str(error) else 422 if isinstance(error, InputError) else 503
            return HTMLResponse(fill("sorry.html", sentence=str(error)), status)
        except HTTPException:
            raise
        except Exception as error:  # the page's door: a bug is one sentence with a file of details
            said = await run_in_threadpool(mistake_sentence, error, [request.method, request.url.path])
            return HTMLResponse(fill("sorry.html", sentence=f"This is {said}"), 500)

    return answering


async def _form(request: Request) -> Form:
    text = (await request.body()).decode("utf-8", errors="replace")
    return dict(parse_qsl(text, keep_blank_values=True, max_num_fields=40))


async def _home(shelf: Shelf, request: Request) -> Response:
    if shelf.only:
        return RedirectResponse(_address(shelf.only), 303)
    return HTMLResponse(await run_in_threadpool(views.home_page, shelf))


async def _begin(shelf: Shelf, request: Request) -> Response:
    """Choose a machine and what fails, and begin a job."""
    if request.method == "GET":
        return HTMLResponse(await run_in_threadpool(views.begin_page, shelf, dict(request.query_params)))
    form = await _form(request)
    try:
        name = await run_in_threadpool(_begun, shelf, form)
    except InputError as error:
        return HTMLResponse(await run_in_threadpool(views.begin_page, shelf, form, str(error)), 422)
    return RedirectResponse(_address(name), 303)


def _begun(shelf: Shelf, form: Form) -> str:
    """Begin a job; the same form sent twice begins it once."""
    path = shelf.new_name(form.get("name", ""))
    file = next((item.path for item in shelf.harnesses() if item.path == form.get("harness")), None)
    if file is None:
        raise InputError("choose one of the machines in the list")
    said = [f"{form.get('function', '')} {form.get('how', 'absent')}"]
    try:
        workbench.start(path, harness=file, complaint=said, now=datetime.now(UTC))
    except JobError:
        if not (path.is_file() and shelf.begun_by(path.name, form.get("token", ""))):
            raise
    shelf.remember(path.name, form.get("token", ""))
    return path.name


def _address(job: str, tab: str = "") -> str:
    return f"/job/{quote(job, safe='')}" + (f"/{tab}" if tab else "")


async def _tab(shelf: Shelf, request: Request) -> Response:
    tab = request.path_params.get("tab", "")
    if tab not in _TABS:
        raise HTTPException(404)
    job, asked = request.path_params["job"], dict(request.query_params)
    page = await run_in_threadpool(_shown, shelf, _TABS[tab], job, asked)
    if not tab:
        shelf.work_ahead(job)
    return HTMLResponse(page)


def _shown(shelf: Shelf, tab: Callable[[Shelf, str, Form], str], job: str, form: Form) -> str:
    with shelf.wanting(job):
        return tab(shelf, job, form)


async def _state(shelf: Shelf, request: Request) -> Response:
    """Whether something was added to a job: asked every few seconds by every page that shows it."""
    return JSONResponse({"mark": shelf.mark(request.path_params["job"])})


async def _answer(shelf: Shelf, request: Request) -> Response:
    """Take one line, as it is typed in the terminal, and show what follows."""
    job, form = request.path_params["job"], await _form(request)
    tab = form.get("tab", "")
    try:
        await run_in_threadpool(_taken, shelf, job, form)
    except InputError as error:
        shelf.path(job)  # a job that is not here is said so
        page = await run_in_threadpool(_TABS.get(tab, views.next_page), shelf, job, {**form, "sorry": str(error)})
        return HTMLResponse(page, 422)
    return RedirectResponse(_address(job, tab if tab in ("suspects", "readings") else ""), 303)


def _taken(shelf: Shelf, job: str, form: Form) -> None:
    record = form.get("answers", "")
    number = int(record) if record.isascii() and record.isdigit() and len(record) < 10 else 0
    line = " ".join(filter(None, (form.get(name, "").strip() for name in ("before", "line", "tail"))))
    token = form.get("token", "")[:64]
    with shelf.wanting(job):
        turn = workbench.answer(shelf.job(job), line, now=datetime.now(UTC), token=token, answers=number)
    if turn.verb in ("help", "quit", "again"):
        raise InputError(f"{line!r} says no reading: type what the meter shows, or tap a button")


def _reported(shelf: Shelf, job: str) -> str:
    with shelf.wanting(job):
        return report_html(workbench.report(shelf.job(job)))


async def _report(shelf: Shelf, request: Request) -> Response:
    page = await run_in_threadpool(_reported, shelf, request.path_params["job"])
    return HTMLResponse(page, headers={"content-security-policy": PAPER_POLICY})


async def _static(request: Request) -> Response:
    found = static_file(request.path_params["name"])
    if found is None:
        return PlainTextResponse("There is no such file.\n", 404)
    text, kind = found
    return Response(text, media_type=kind, headers={"cache-control": "max-age=3600"})

