"""Two configurations side by side, as a browser shows them: large, whole, readable."""

import pytest
from axe_playwright_python.sync_playwright import Axe

WIDTHS = {"phone": (390, 844), "laptop": (1280, 900)}


@pytest.mark.parametrize("size", WIDTHS)
@pytest.mark.parametrize("day", ["demo", "hostile names", "lift at both axles"])
def test_two_configurations_fit_and_are_drawn_to_one_scale(browser, sides, day, size):
    width, height = WIDTHS[size]
    page = browser.new_page(viewport={"width": width, "height": height})
    page.goto(sides(day).as_uri())
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    bars = page.evaluate(
        "() => [...document.querySelectorAll('svg.bar')].map(s => { const f = s.getBoundingClientRect(), "
        "b = s.querySelector('rect').getBoundingClientRect(); return [f.width, b.left - f.left, b.width]; })"
    )
    assert len(bars) == 4
    assert all(left >= -2 and left + long <= frame + 2 for frame, left, long in bars)
    assert max(long for _, _, long in bars) > 0.3 * bars[0][0]
    smallest = page.evaluate(
        "() => Math.min(...[...document.querySelectorAll('.pair p, .pair h2, .sentence')]"
        ".map(e => parseFloat(getComputedStyle(e).fontSize)))"
    )
    assert smallest >= 15
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "best-practice"]})
    assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found.response["violations"]] == []
    page.close()
