"""The pages in a real browser: enquiry to papers, by mouse and by keyboard alone.

Skipped where the system has no Chromium.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="this system has no Chromium"),
    pytest.mark.xdist_group("browser"),
]
QUIET = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
WIDTHS = {"desk": (1366, 768), "tablet": (820, 1180)}
PATIENCE_MS = 30_000


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages as `linkwright serve` gives them, on a free port."""
    folder = tmp_path_factory.mktemp("drafts")
    command = [sys.executable, "-m", "linkwright", "serve", "--port", "0", "--lots", "64",
               "--drafts", str(folder)]  # fmt: skip
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as server:  # noqa: S603
        assert server.stderr is not None
        said = server.stderr.readline()
        where = said.partition("http://")[2].partition("/ ")[0]
        try:
            urllib.request.urlopen(f"http://{where}/static/page.js", timeout=20).close()
            yield f"http://{where}"
        finally:
            server.terminate()
            assert server.wait(20) in {0, -15, 143}
            assert "Traceback" not in server.stderr.read()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Debian's own browser, without a screen."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        made = running.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


@pytest.fixture(params=WIDTHS)
def page(request: pytest.FixtureRequest, browser: Any) -> Iterator[Any]:
    """A page of one size; nothing may be said on its console."""
    width, height = WIDTHS[request.param]
    context = browser.new_context(viewport={"width": width, "height": height})
    made = context.new_page()
    made.set_default_timeout(PATIENCE_MS)
    said: list[str] = []
    made.on("console", lambda message: said.append(message.text))
    made.on("pageerror", lambda error: said.append(str(error)))
    yield made
    context.close()
    assert said == []


def clean(page: Any) -> None:
    """Nothing that axe-core finds serious, and nothing wider than the window."""
    from axe_playwright_python.sync_playwright import Axe

    found = [
        (one["id"], one["nodes"][0]["html"][:120])
        for one in Axe().run(page).response["violations"]
        if one["impact"] in {"serious", "critical"}
    ]
    assert found == []
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0


def walk_plan(page: Any, place: str, value: str) -> None:
    """A setting changed, its consequences seen, a number opened and closed, undone."""
    page.locator(f".route a[href$='/at/{place}']").click()
    page.wait_for_url(f"**/at/{place}")
    page.locator(".chance strong").wait_for()
    clean(page)
    before, base = page.locator(".chance strong").inner_text(), page.url
    field = page.locator(".dial input[name=value]").first
    field.fill(value)
    field.press("Enter")
    page.wait_for_function("old => location.href !== old", arg=base)
    page.locator(".change").wait_for()
    assert page.locator(".changed tbody tr").count() >= 1
    assert page.locator(".chance strong").inner_text() != before
    clean(page)
    number = page.locator(".findings a.opens").first
    number.focus()
    page.keyboard.press("Enter")
    page.locator("dialog[open] .derivation").wait_for()
    assert page.locator("dialog[open] .from").count() > 1
    clean(page)
    page.keyboard.press("Escape")
    page.locator("dialog[open]").wait_for(state="detached")
    page.locator("#main").focus()
    page.keyboard.press("Control+z")
    page.wait_for_url(base)
    page.locator(".changed").wait_for(state="detached")


def test_from_an_order_to_its_papers(page: Any, address: str) -> None:
    page.goto(address)
    clean(page)
    page.get_by_role("button", name="Plan the invented demo order").click()
    page.locator(".metal svg").wait_for()
    walk_plan(page, "tempering", "548")
    page.locator(".route a[href$='/at/quenching']").click()
    page.locator(".picture svg").first.wait_for()
    href = page.get_by_role("link", name="Papers (PDF)").get_attribute("href")
    answer = page.request.get(f"{address}{href}")
    assert answer.ok
    assert answer.body().startswith(b"%PDF-")


def test_from_a_duty_to_a_plan(page: Any, address: str) -> None:
    page.goto(f"{address}/drive")
    clean(page)
    for label, typed in (("power, kW", "30"), ("speed of the driver, rpm", "96"),
                         ("speed of the driven shaft, rpm", "16")):  # fmt: skip
        page.get_by_label(label).fill(typed)
    page.get_by_label("running of the driven machine").select_option("heavy shocks")
    page.locator(".ranking").wait_for()
    page.wait_for_url("**shock=heavy**")
    clean(page)
    assert page.locator("#answer .picture svg").count() == 2
    page.get_by_label("Customer").fill("invented")
    page.get_by_role("button", name="Plan it").click()
    page.locator(".metal svg").wait_for()
    walk_plan(page, "outer_plate/plate_tempering", "640")


def test_a_refused_setting_is_told_where_it_was_typed(browser: Any, address: str) -> None:
    page = browser.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(address)
    page.get_by_role("button", name="Plan the invented demo order").click()
    page.locator(".route a[href$='/at/tempering']").click()
    page.wait_for_url("**/at/tempering")
    before = page.url
    field = page.locator(".dial input[name=value]").first
    field.fill("warm")
    field.press("Enter")
    page.locator(".refused").wait_for()
    assert "temperature_degC" in page.locator(".refused").inner_text()
    assert page.url == before
    page.close()


def test_by_keyboard_alone(page: Any, address: str) -> None:
    """Tab reaches everything in reading order, and what has the focus can be seen."""
    page.goto(f"{address}/calculations/flow_stress_hollomon")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.id === 'main'")
    for typed in ("500", "0.25", "0.2"):
        page.keyboard.press("Tab")
        page.keyboard.type(typed)
    page.keyboard.press("Enter")
    page.locator(".results").wait_for()
    assert "MPa" in page.locator(".results").inner_text()
    clean(page)
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"


def test_the_pages_work_without_script(browser: Any, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(address)
    page.get_by_role("button", name="Plan the invented demo order").click()
    page.locator(".route a[href$='/at/tempering']").click()
    page.locator(".dial input[name=value]").first.fill("548")
    page.locator(".dial button").first.click()
    assert page.locator(".changed tbody tr").count() > 1
    page.get_by_role("link", name="Reckon the chance").click()
    assert "%" in page.locator(".chance strong").inner_text()
    context.close()


def test_the_script_is_small() -> None:
    import gzip

    from linkwright import web

    scripts = Path(web.__file__).with_name("static").glob("*.js")
    packed = sum(len(gzip.compress(path.read_bytes())) for path in scripts)
    assert packed < 150_000
