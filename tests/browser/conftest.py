"""A real browser, and the pages of days of every kind."""

import os
import runpy
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

_SHARED = runpy.run_path(str(Path(__file__).parents[1] / "briefs" / "days.py"))
DAYS, written = _SHARED["DAYS"], _SHARED["written"]
CHROMIUM = os.environ.get("AXLETRIM_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"phone": (390, 844), "laptop": (1280, 900)}


@pytest.fixture
def days():
    return list(DAYS)


@pytest.fixture(scope="session")
def browser():
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def files(tmp_path_factory):
    """Paths of the pages of every day, each written once."""
    made = {}

    def path(day):
        if day not in made:
            folder = tmp_path_factory.mktemp("day")
            made[day] = folder / "report.html"
            name = day.removesuffix(", in full")
            depth = "full" if day.endswith(", in full") else None
            made[day].write_text(written(DAYS[name](folder), depth=depth), encoding="utf-8")
        return made[day]

    return path


@pytest.fixture(scope="session")
def sides(tmp_path_factory):
    """The page of two configurations side by side, of a day by its name."""
    from balance.decide.parts.parts import assess_parts
    from balance.tell.figures import Show
    from balance.tell.report.side_by_side import side_by_side
    from balance.units.shown import SI

    def path(day):
        folder = tmp_path_factory.mktemp("sides")
        report = _SHARED["report"](DAYS[day](folder))
        page = folder / "two.html"
        page.write_text(side_by_side(assess_parts(report.day), 1, Show(SI)), encoding="utf-8")
        return page

    return path


@pytest.fixture
def opened(browser, files):
    """Open the page of a day at a size; nothing may be asked of a network, and nothing may go wrong in it."""
    pages = []

    def page(day, size="laptop", *, scheme="light"):
        width, height = SIZES[size]
        one = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        pages.append(one)
        troubles = []
        one.on("request", lambda r: None if r.url.startswith("file:") else troubles.append(r.url))
        one.on("console", lambda m: troubles.append(m.text))
        one.on("dialog", lambda d: (troubles.append(d.message), d.dismiss()))
        one.goto(files(day).as_uri())
        assert troubles == []
        return one

    yield page
    for one in pages:
        one.close()
