"""The page in a browser: by taps on a phone, on a wide screen, by keyboard alone, with the link down."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from ohmtrail.job import read_job

CIRCUITS = Path(__file__).parents[2] / "circuits"
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1366, "height": 900}
WAIT_MS = 90_000

#: everything that can be tapped and is smaller than 44 px (WCAG 2.2, success criterion 2.5.5)
SMALL = """() => [...document.querySelectorAll('a,button,input,select,summary')].filter(item => {
  const box = (item.closest('label.pick') || item).getBoundingClientRect();
  return item.type !== 'hidden' && item.checkVisibility() && box.width > 1 && (box.width < 43.9 || box.height < 43.9);
}).map(item => item.outerHTML.slice(0, 90))"""

#: texts whose contrast with what is behind them is below 4.5:1 (WCAG 2.2, success criterion 1.4.3)
FAINT = """() => {
  const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const parts = (text) => { canvas.clearRect(0,0,1,1); canvas.fillStyle = text; canvas.fillRect(0,0,1,1); return [...canvas.getImageData(0,0,1,1).data]; };
  const light = ([r,g,b]) => { const f = [r,g,b].map(v => { v /= 255; return v <= .04045 ? v/12.92 : ((v+.055)/1.055)**2.4; }); return .2126*f[0]+.7152*f[1]+.0722*f[2]; };
  const found = [];
  for (const item of document.querySelectorAll('body *')) {
    if (item.closest('.picture') || !item.checkVisibility()) continue;
    const typed = item.matches('input') && (item.value || item.placeholder);
    if (!typed && ![...item.childNodes].some(node => node.nodeType === 3 && node.data.trim())) continue;
    let behind = item;
    while (behind && parts(getComputedStyle(behind).backgroundColor)[3] < 255) behind = behind.parentElement;
    const back = behind ? parts(getComputedStyle(behind).backgroundColor) : [255,255,255];
    const style = getComputedStyle(item, typed && !item.value ? '::placeholder' : null);
    const one = light(parts(style.color)), two = light(back);
    const ratio = (Math.max(one,two)+.05)/(Math.min(one,two)+.05);
    if (ratio < 4.5) found.push(`${ratio.toFixed(2)} ${item.outerHTML.slice(0,90)}`);
  }
  return found;
}"""


#: keys for a reading that cannot be seen without scrolling, on a phone: below the tabs or above the screen
HIDDEN = """() => innerWidth > 999 ? [] : [...document.querySelectorAll('.step .pad button, .step .pad input')].filter(item => {
  const box = item.getBoundingClientRect();
  return box.top < 0 || box.bottom > document.querySelector('.tabs').getBoundingClientRect().top;
}).map(item => item.outerHTML.slice(0, 90))"""


@pytest.fixture
def opened(browser: Any, serve: Any) -> Iterator[Callable[..., Any]]:
    """Open the page on a device; nothing may be said on its console."""
    contexts, said = [], []

    def go(served: Any, job: str, size: dict[str, int], *, touch: bool = False) -> Any:
        context = browser.new_context(viewport=size, has_touch=touch, is_mobile=touch)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(WAIT_MS)
        page.on("console", lambda item: said.append(item.text) if "net::ERR_" not in item.text else None)
        page.on("pageerror", lambda item: said.append(str(item)))
        page.goto(served.address)
        page.goto(f"http://{served.host}/job/{job}")
        return page

    yield go
    for context in contexts:
        context.close()
    assert [item for item in said if "422" not in item] == []


def _fits(page: Any) -> None:
    """No scrolling sideways, nothing too small for a finger, nothing too faint, the whole pad in sight."""
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(SMALL) == []
    assert page.evaluate(FAINT) == []
    assert page.evaluate(HIDDEN) == []


def _events(folder: Path) -> int:
    return len(read_job(str(folder / "a.job")).events)


def _tapped(page: Any, said: str) -> None:
    """Give one answer by taps on the page's own keys."""
    form = page.locator("section.step form.send").first
    choice = form.locator(f'[data-line="{said}"], [data-line="{said.upper()}"]')
    if said == "done":
        choice = form.locator("button.big")
    if choice.count():
        choice.first.tap()
        return
    for digit in said:
        form.locator(f'[data-key="{digit}"]').tap()
    form.locator(".enter").tap()


def _typed(page: Any, said: str) -> None:
    """Give one answer by keyboard alone: Tab to the field or button, type, Enter."""
    page.locator("h1").first.wait_for()
    for _ in range(60):
        page.keyboard.press("Tab")
        line, name = page.evaluate("[document.activeElement.dataset.line || '', document.activeElement.id]")
        if name == "value" and re.fullmatch(r"[\d.-]+", said):
            page.keyboard.type(said)
            page.keyboard.press("Enter")
            return
        if line.casefold() == said.casefold() or (said == "done" and line.startswith("mend ")):
            page.keyboard.press("Enter")
            return
    raise AssertionError(f"{said!r} cannot be reached by keyboard")


def _clicked(page: Any, said: str) -> None:
    """The same with a mouse."""
    form = page.locator("section.step form.send").first
    choice = form.locator(f'[data-line="{said}"], [data-line="{said.upper()}"]' if said != "done" else "button.big")
    if choice.count():
        choice.first.click()
        return
    form.locator("input#value").fill(said)
    form.locator(".enter").click()


def _whole_job(page: Any, folder: Path, took: Any, answer: Callable[[Any, str], None]) -> None:
    """Follow the page to the proof; every step on it fits the screen and the fingers."""
    for _ in range(25):
        page.wait_for_function("() => !document.body.classList.contains('busy')")
        if "Proven" in page.locator("h1").first.inner_text():
            break
        state = read_job(str(folder / "a.job"))
        assert state.proposed is not None
        shown = page.locator("section.step").inner_text()
        assert state.proposed.kind != "measure" or all(point in shown for point in (state.proposed.red, state.proposed.black))
        _fits(page)
        before = page.locator("#page").get_attribute("data-mark")
        answer(page, took(state.proposed))
        page.wait_for_function("mark => document.querySelector('#page').dataset.mark !== mark", arg=before)
        assert _events(folder) == len(state.events) + 1
    assert "Proven" in page.locator("h1").first.inner_text()
    page.locator("a.big", has_text="Report").click()
    assert "Proven" in page.inner_text("body") or "proven" in page.inner_text("body")


def test_the_no_spark_job_by_taps(opened: Any, serve: Any, begun: Any, tmp_path: Path, at_the_machine: Any) -> None:
    """The whole job on the trail motorcycle, on a phone."""
    job = begun("trail-motorcycle", "spark absent")
    page = opened(serve(), job, PHONE, touch=True)
    took = at_the_machine(str(CIRCUITS / "trail-motorcycle.yaml"), "stop-2 leak", severity=4.0)
    _whole_job(page, tmp_path, took, _tapped)


@pytest.mark.slow
def test_the_no_spark_job_on_a_wide_screen(opened: Any, serve: Any, begun: Any, tmp_path: Path, at_the_machine: Any) -> None:
    """The same at desktop size, with the path beside the step."""
    job = begun("trail-motorcycle", "spark absent")
    page = opened(serve(), job, DESK)
    page.locator(".beside .picture svg").wait_for()
    took = at_the_machine(str(CIRCUITS / "trail-motorcycle.yaml"), "stop-2 leak", severity=4.0)
    _whole_job(page, tmp_path, took, _clicked)


@pytest.mark.slow
def test_the_no_spark_job_by_keyboard(opened: Any, serve: Any, begun: Any, tmp_path: Path, at_the_machine: Any) -> None:
    """The same without a pointer."""
    job = begun("trail-motorcycle", "spark absent")
    page = opened(serve(), job, DESK)
    took = at_the_machine(str(CIRCUITS / "trail-motorcycle.yaml"), "stop-2 leak", severity=4.0)
    _whole_job(page, tmp_path, took, _typed)


def test_a_job_by_keyboard(opened: Any, serve: Any, begun: Any, tmp_path: Path, at_the_machine: Any) -> None:
    """A shorter job on a wide screen without a pointer."""
    page = opened(serve(), begun(), DESK)
    page.locator(".beside .picture svg").wait_for()
    took = at_the_machine(str(CIRCUITS / "outboard.yaml"), "stop-3 leak", severity=4.0)
    _whole_job(page, tmp_path, took, _typed)


def test_every_page_on_a_phone(opened: Any, serve: Any, begun: Any, tmp_path: Path) -> None:
    """Terminals are tapped for red and black; a reading of one's own is taken there; strike and undo."""
    page = opened(serve(), begun(), PHONE, touch=True)
    weights: list[int] = []
    page.on("response", lambda item: weights.append(len(item.body())))
    page.get_by_role("link", name="drawing").tap()
    page.locator(".picture svg").wait_for()
    page.wait_for_load_state("networkidle")
    assert sum(weights) < 300_000
    _fits(page)
    discs = page.evaluate(
        "[...document.querySelectorAll('.point')].map(item => [item.dataset.point, Math.round(item.getBoundingClientRect().width)])"
    )
    assert len(discs) > 10 and min(width for _, width in discs) >= 44
    names = [name for name, _ in discs if name != "frame" and sum(name == other for other, _ in discs) == 1]
    page.get_by_role("button", name="Take a reading here").tap()
    assert "No red probe yet" in page.locator(".hint").inner_text()
    for side, name in (("red", names[0]), ("black", names[-1])):
        disc = page.locator(f'.point[data-point="{name}"]')
        disc.scroll_into_view_if_needed()
        disc.evaluate("item => scrollBy(0, item.getBoundingClientRect().top - 300)")
        box = disc.bounding_box()
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        if page.locator(".nearby").count():
            _fits(page)
            page.locator(".nearby button", has_text=name).first.tap()
        assert page.locator(f"[data-chosen={side}]").inner_text() == name
    assert page.locator("#quantity").input_value() == "volts"  # the machine is live as it stands
    page.locator("#quantity").select_option("ohms")
    page.get_by_role("button", name="Take a reading here").tap()
    page.locator("#value").wait_for()
    _fits(page)
    page.locator("[name=tail]").fill("with battery off")
    for key in "47":
        page.locator(f'[data-key="{key}"]').tap()
    page.locator('[data-unit="k"]').tap()
    page.get_by_role("button", name="Enter reading").tap()
    page.wait_for_function("() => document.querySelector('#page').dataset.tab === 'next'")
    what = read_job(str(tmp_path / "a.job")).events[-1].what
    assert (what.red, what.black, what.value) == (names[0], names[-1], 47_000.0)  # type: ignore[union-attr]
    page.get_by_role("link", name="readings").tap()
    page.locator(".done li").nth(1).wait_for()
    _fits(page)
    page.locator(".done li").nth(1).locator("summary").tap()
    page.get_by_role("button", name="Strike 2").tap()
    page.locator(".done li.out").wait_for()
    assert read_job(str(tmp_path / "a.job")).events[1].struck
    page.get_by_role("link", name="suspects").tap()
    page.locator(".suspects li").first.wait_for()
    _fits(page)
    page.goto(page.url.partition("/job/")[0])
    _fits(page)
    page.get_by_role("link", name="Begin a job").tap()
    page.get_by_role("heading", name="Which machine?").wait_for()
    _fits(page)
    page.locator("a.job").first.tap()
    page.get_by_text("What fails?").wait_for()
    _fits(page)


def test_the_link_drops(opened: Any, serve: Any, begun: Any, tmp_path: Path) -> None:
    """What was entered without a link is kept, over a reload too, and sent once; the other device sees it."""
    served = serve()
    job = begun(complaint="charging absent")  # whose first step is to watch a lamp
    page, other = opened(served, job, PHONE, touch=True), opened(served, job, DESK)
    page.context.set_offline(True)
    page.get_by_role("button", name="works").tap()
    page.get_by_text("Kept and sent later").wait_for()
    page.get_by_role("button", name="works").tap()
    page.wait_for_timeout(200)
    assert _events(tmp_path) == 1
    page.context.set_offline(False)
    page.wait_for_function("() => document.querySelector('#link').hidden")
    assert _events(tmp_path) == 2
    other.locator("h1", has_text="3").wait_for()
    assert page.evaluate("localStorage.getItem('ohmtrail-unsent')") == "[]"


def test_an_answer_that_was_not_heard_is_sent_again_and_kept_once(opened: Any, serve: Any, begun: Any, tmp_path: Path) -> None:
    """The reading arrives, the reply is lost: sent again it changes nothing."""
    page = opened(serve(), begun(complaint="charging absent"), PHONE, touch=True)
    lost = []

    def lose(route: Any) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch(max_redirects=0).status)
        route.abort()

    page.route("**/answer", lose)
    page.get_by_role("button", name="works").tap()
    page.wait_for_function("() => document.querySelector('h1').textContent.includes('3')")
    assert lost == [303]
    assert _events(tmp_path) == 2
