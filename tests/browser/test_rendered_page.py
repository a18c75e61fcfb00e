"""The page as a browser shows it and prints it: nothing overflows, overlaps, is too small or too faint."""

import ctypes
import io

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe

# Whatever holds text of its own; boxes of two of them may not lie over one another.
TEXT_BOXES = """() => {
  const hidden = e => e.closest('thead') && getComputedStyle(e.closest('thead')).clipPath !== 'none';
  const boxes = [];
  for (const e of document.querySelectorAll('h1,h2,h3,p,li,dt,dd,caption,th,td,figcaption,svg.picture,svg.bar')) {
    const r = e.getBoundingClientRect();
    if (r.width > 2 && r.height > 2 && !hidden(e))
      boxes.push({tag: e.tagName, text: (e.textContent || '').slice(0, 40), l: r.left, t: r.top, r: r.right, b: r.bottom});
  }
  return boxes;
}"""
# Text that is wider than the box around it.
CLIPPED = """() => [...document.querySelectorAll('p,li,td,th,caption,figcaption,h1,h2,dd')]
  .filter(e => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
  .filter(e => !e.closest('thead') || getComputedStyle(e.closest('thead')).clipPath === 'none')
  .map(e => e.textContent.slice(0, 60))"""
# Words in pictures that lie over one another, or stick out of the picture.
PICTURE_WORDS = """() => [...document.querySelectorAll('svg.picture')].map(svg => {
  const frame = svg.getBoundingClientRect();
  const words = [...svg.querySelectorAll('text')].map(t => {
    const r = t.getBoundingClientRect();
    return {text: t.textContent, l: r.left, t: r.top, r: r.right, b: r.bottom};
  });
  return {name: svg.querySelector('title').textContent.slice(0, 40), frame:
    {l: frame.left, t: frame.top, r: frame.right, b: frame.bottom}, words};
})"""
SIZES = ("phone", "laptop")
FULL = [f"{day}, in full" for day in ("demo", "sixty runs", "sixty runs with long remarks")]
DAY_NAMES = [
    "demo",
    "two seater, downforce at both",
    "hostile names",
    "lift at both axles",
    "a single run",
    "no repeats, no figure",
    "sixty runs",
    "sixty runs with long remarks",
    "nothing in balance",
    "an axle off the ground",
]


def test_every_kind_of_day_is_looked_at(days):
    assert days == DAY_NAMES


def overlap(a, b, *, spare):
    """How far two boxes lie over one another, in both directions."""
    return (
        min(a["r"], b["r"]) - max(a["l"], b["l"]) > spare
        and min(a["b"], b["b"]) - max(a["t"], b["t"]) > spare
    )


def inside(a, b):
    return a["l"] >= b["l"] - 1 and a["r"] <= b["r"] + 1 and a["t"] >= b["t"] - 1 and a["b"] <= b["b"] + 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("day", DAY_NAMES)
def test_nothing_is_wider_than_the_screen(opened, day, size):
    page = opened(day, size)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(CLIPPED) == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("day", ["demo", "hostile names", "a single run"])
def test_no_text_lies_over_another(opened, day, size):
    boxes = opened(day, size).evaluate(TEXT_BOXES)
    assert len(boxes) > 40
    over = [
        (a["text"], b["text"])
        for k, a in enumerate(boxes)
        for b in boxes[k + 1 : k + 40]
        if overlap(a, b, spare=1.5) and not inside(a, b) and not inside(b, a)
    ]
    assert over == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("day", DAY_NAMES)
def test_words_in_pictures_are_clear_of_one_another(opened, day, size):
    for picture in opened(day, size).evaluate(PICTURE_WORDS):
        words = [word for word in picture["words"] if word["text"].strip()]
        assert words
        for k, word in enumerate(words):
            assert inside(word, picture["frame"]), (picture["name"], word["text"])
            over = [
                other["text"]
                for other in words[k + 1 :]
                if overlap(word, other, spare=0.28 * (word["b"] - word["t"]))
            ]
            assert over == [], (picture["name"], word["text"])


@pytest.mark.parametrize(("size", "scheme"), [("laptop", "light"), ("laptop", "dark"), ("phone", "light")])
@pytest.mark.parametrize("day", ["demo", "hostile names", "a single run", "sixty runs"])
def test_access_rules_hold(opened, day, size, scheme):
    page = opened(day, size, scheme=scheme)
    found = Axe().run(
        page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]}
    )
    assert found.response["passes"]
    assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found.response["violations"]] == []


def test_pictures_are_there_and_drawn(opened):
    page = opened("demo")
    drawn = page.evaluate(
        "() => [...document.querySelectorAll('svg.picture')].map(s => [s.id, s.getBoundingClientRect().height, "
        "s.querySelectorAll('path').length, s.querySelector('title').textContent.length])"
    )
    assert len(drawn) == 5
    assert all(height > 100 and paths > 5 and said > 40 for _, height, paths, said in drawn)


def test_the_dark_page_is_dark_and_its_pictures_too(opened):
    page = opened("demo", scheme="dark")
    colours = page.evaluate(
        "() => [getComputedStyle(document.documentElement).backgroundColor, "
        "getComputedStyle(document.querySelector('svg.picture text')).fill]"
    )
    assert colours == ["rgb(22, 25, 29)", "rgb(232, 234, 237)"]


@pytest.fixture(scope="module")
def printed(browser, files):
    """The page of a day, printed."""
    made = {}

    def document(day, paper):
        if (day, paper) not in made:
            page = browser.new_page()
            page.goto(files(day).as_uri())
            made[day, paper] = page.pdf(format=paper, prefer_css_page_size=True)
            page.close()
        return pypdfium2.PdfDocument(io.BytesIO(made[day, paper]))

    return document


# The foot of a sheet: a heading that is the last thing on it, before the page number, stands alone.
HEADINGS = "() => [...document.querySelectorAll('h2,p.strong,caption')].map(e => e.textContent.trim())"


def lines_of(document, number):
    """The lines of a sheet without its page number, from the top."""
    text = document[number].get_textpage().get_text_range()
    lines = [line.strip() for line in text.replace("\xa0", " ").splitlines()]
    return [line for line in lines if line and line != f"{number + 1} / {len(document)}"]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("day", [*DAY_NAMES, *FULL])
def test_no_heading_stands_alone_at_the_foot_of_a_sheet(printed, opened, day, paper):
    headings = [" ".join(one.replace("\xa0", " ").split()) for one in opened(day).evaluate(HEADINGS)]
    document = printed(day, paper)
    for number in range(len(document)):
        lines = lines_of(document, number)
        assert lines, f"sheet {number + 1} is empty"
        assert not any(heading.endswith(lines[-1]) for heading in headings), lines[-1]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("day", DAY_NAMES)
def test_a_report_takes_four_sheets_and_page_one_one_of_them(printed, opened, day, paper):
    document = printed(day, paper)
    assert len(document) <= 4
    first = " ".join(lines_of(document, 0))
    assert "Why not the next." in first
    assert "What each part did" not in first
    assert opened(day).locator("nav").count() == 0


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("day", FULL)
def test_more_than_four_sheets_have_a_list_of_contents(printed, opened, day, paper):
    assert len(printed(day, paper)) > 4
    assert opened(day).locator("nav a").count() > 5


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("day", ["demo", "hostile names", "a single run", "sixty runs", FULL[0]])
def test_print_has_page_numbers_and_no_text_under_nine_points(printed, day, paper):
    document = printed(day, paper)
    count = len(document)
    for number in range(count):
        page = document[number]
        text = page.get_textpage()
        assert f"{number + 1} / {count}" in text.get_text_range()
        width, height = page.get_size()
        for one in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=8):
            left, bottom, right, top = one.get_bounds()
            assert left >= 0
            assert right <= width
            assert bottom >= 0
            assert top <= height
        assert smallest_text(text) >= 8.95


def smallest_text(text):
    """The smallest type on a sheet in points, as it is after every scaling."""
    raw, sizes = pypdfium2.raw, []
    for k in range(text.count_chars()):
        if raw.FPDFText_GetUnicode(text, k) <= 32:
            continue
        matrix = raw.FS_MATRIX()
        assert raw.FPDFText_GetMatrix(text, k, ctypes.byref(matrix))
        scale = (matrix.c**2 + matrix.d**2) ** 0.5
        sizes.append(raw.FPDFText_GetFontSize(text, k) * scale)
    return min(sizes, default=99.0)


def plain(text):
    return "".join(text.split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("day", FULL)
def test_every_table_stands_whole_on_one_sheet(printed, opened, day, paper):
    """All of a table's text, caption and heads too, is that of one sheet, word for word and in order."""
    tables = opened(day).evaluate("() => [...document.querySelectorAll('table')].map(t => t.textContent)")
    document = printed(day, paper)
    sheets = [plain(document[k].get_textpage().get_text_range()) for k in range(len(document))]
    assert len(tables) > 6
    for table in tables:
        assert any(plain(table) in sheet for sheet in sheets), table[:200]


# Width and height of what @page leaves of a sheet, in CSS pixels of 1/96 in; ISO 216 and ANSI/ASME Y14.1 sizes.
SHEETS = {"A4": (178.0, 264.0), "Letter": (183.9, 246.4)}


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("day", DAY_NAMES)
def test_no_table_is_higher_than_a_sheet(opened, day, paper):
    width, height = (mm / 25.4 * 96.0 for mm in SHEETS[paper])
    page = opened(day)
    page.set_viewport_size({"width": int(width), "height": int(height)})
    page.emulate_media(media="print")
    for caption, high, whole in page.evaluate(
        "() => [...document.querySelectorAll('table')].map(t => [t.caption.textContent, "
        "t.getBoundingClientRect().height, getComputedStyle(t).breakInside])"
    ):
        assert high < height, (caption, high)
        assert whole == "avoid"
