"""Words and marks that are gone stay gone: each had a better one, of the trade or of a standard.

What people read is looked through: sentences in the source, the vocabulary, the first page of the documentation,
and the pictures of the screens. Keys of files and records keep their old words, so they are left out.
"""

import ast
import html
import re
import tomllib
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GONE = {
    # a word or mark that is gone: what stands in its place; common practice of the trade, no source, where no standard
    r"\bscatter": "repeatability, noise, sd",
    r"\bresolved\b|\bunresolved\b": "significant, within noise",
    r"\bsurplus": "grip balance",
    r"\btolerance": "limit: understeer limit, oversteer limit",
    r"\bband\b": "limits",
    r"\bedges? of the (?:band|limit)|\bat the (?:edge|(?:front|rear)'s edge)\b": "at the oversteer limit, at the understeer limit",
    r"\btoward\b": "towards",
    r"\bplaces? of action\b": "centre of pressure",
    r"\bspeed of interest\b": "speed shown",
    r"\bcost ratio": "downforce per drag",
    r"\b(?:gains|sheds|loses|costs|saves) (?:for (?:a price|a saving|no measured)|at no measured|and (?:saves|costs)\b)": (
        "more downforce, more drag and the like"
    ),
    r"\bsheds?\b": "takes off, less downforce",
    r"\bunseen\b": "within noise",
    r"\b(?:this|the) day can show\b|\bless than (?:this|the) day shows\b": "detectable, within noise",
    r"\b(?:pushes|loose) at speed\b": "more understeer, MORE OVERSTEER than in slow corners",
    r"\blooser?\b at the rear\b": "more oversteer",
    r"\b(?:rear|front) overpowers\b|\boverpowering the (?:rear|front)\b": (
        "past the understeer limit, past the oversteer limit; of the load alone: the rear's load overpowers the front"
    ),
    r"\boff the ground\b|\bleaves? the ground\b": "axle unloaded",
    r"\blift-off\b|\blifts? off\b": "axle unloaded, unloading speed",
    r"\btoo little load to matter\b": "small load",
    r"\bproposed\b|\bprop\.": "automatic, auto",
    r"[0-9}] pt\b": "points",
    r"\bin no figure\b": "excluded",
    r"[0-9}] (?:of|in) (?:a hundred|100)\b": "per cent",
    r"\bwithheld\b": "not offered",
    r"\brear-safe\b": "towards understeer",
    r"\bways? to balance\b": "option",
    r"\bwith drive\b|\bwith the drive force\b": "under power",
    r"\bdrift[^.]{0,40} taken out\b|\btaken out\b[^.]{0,40}\bdrift": "drift removed",
    r"\brestated\b": "corrected",
    r"\bdistance to target\b": "short of target, past target",
    r"\befficien\w+": "downforce per drag",
    r"\bfront share\b(?! of the weight)": "aero balance; of the weight: front weight share",
    r"\bload case": "loading condition",
    r"\bonset\b": "limit passed from",
    r"\bspeed held\b": "drag-limited speed",
    r"\b(?:under|over)steers\b": "more understeer, more oversteer: the car is compared with itself",
    r"\bdeg\b": "°",
    r"\bsessions?\b(?!\.toml)": "day; session.toml is the name of a file",
    r"✖": "× a fault, ▼ an unloaded axle",
}
"""What is gone, as an expression, and the words that stand in its place."""

EXCEPT = {
    # (where, what of the text): why it may stand
    (
        r"balance/compare/classes\.py|balance/decide/day/verdict\.py",
        r".+",
    ): "values of records: printed in other words",
    (
        r"balance/decide/doubts/plausibility\.py|balance/tell/runs/doubt_words\.py",
        r"^front (?:share|tolerance)$",
    ): ("a kind of doubt in records, and the case that puts it in words"),
    (r"balance/decide/car/changed_car\.py|balance/tell/what_if/assumption_text\.py", r"^scatter unknown$"): (
        "a kind of assumption in records, and the case that puts it in words"
    ),
    (
        r".*",
        r"(?:as read[^.]{0,12}|--forces |forces (?:=|are) .{0,40}|['\"])restated\b|^restated$|\brestated:",
    ): "a key's own value",
    (r"balance/files/formats/notes\.py", r"tolerance"): "an older file's key, quoted",
    (r"balance/files/tables/.*", r"\(\?:.+"): "an expression for the words of a foreign file",
    (r"balance/files/.*", r"\bdeg\b"): "a unit as files have it",
    (
        r"tests/tui/.*\.svg",
        r"made the car loose at speed|wing at 6\.5 deg",
    ): "words of the engineer of an invented day",
    (r"balance/model/quantities\.py", r"^format session title .+"): "keys of records",
    (r"tui/command_line/chart\.py", r"\n  surplus "): "a kind of chart by the name that is typed",
    (r"balance/model/vocabulary/balance\.toml", r"tolerance in the file"): "the key in the car's file",
    (r"balance/model/vocabulary/verdicts\.toml", r"^(?:rear overpowers front|front overpowers rear)$"): (
        "the name of the term, which is the verdict's word in records"
    ),
    (
        r".*",
        r"[\w.-]*[_-](?:tolerance|surplus|deg)\b[\w-]*|\[deg\]|[0-9] deg\b(?=\")",
    ): "a key, an option, or a unit as it is typed",
}
"""Places and texts in which an old word may stand, each with its reason."""
STYLE = re.compile(r"[a-z-]+ \{\n|\{\s+[a-z-]+: [^;]+;")
"""A sheet of styles, which nobody reads."""


def test_every_exception_is_used():
    """An exception that nothing needs is an open door."""
    used = {exception for _, _, _, exception in everywhere()}
    assert set(EXCEPT) - used == set()


@pytest.mark.parametrize("gone", GONE)
def test_a_word_that_is_gone_is_nowhere_read(gone):
    found = [
        (where, text[:160], GONE[gone])
        for where, text, one, exception in everywhere()
        if one == gone and not exception
    ]
    assert found == []


@pytest.mark.parametrize(
    "text",
    [
        "the day's scatter", "not resolved", "grip surplus of the rear", "the tolerance band", "moved toward the rear",
        "place of action", "speed of interest", "cost ratio", "gains for a price", "sheds for a saving", "cost unseen",
        "less than this day can show", "pushes at speed", "loose at speed", "at the edge", "AXLE OFF THE GROUND",
        "proposed baseline", "4 prop.", "9.1 pt rearward", "void, in no figure", "95 of 100 draws", "stall: withheld",
        "the rear-safe side", "way to balance", "surplus with drive", "with drift taken out", "forces restated to 148 km/h",
        "front overpowers rear", "wing 5 deg", "front share 51 %", "✖ AXLE", "the session's folder",
    ],
)  # fmt: skip
def test_each_old_word_would_be_found(text):
    assert [gone for gone, exception in faults("balance/tell/words.py", text) if not exception]


@pytest.mark.parametrize(
    "text",
    [
        "moved towards the rear", "9.1 points behind weight", "96 % of draws", "at the oversteer limit", "wing 5°",
        "corrected to 148 km/h", "under power", "within noise", "MORE OVERSTEER than in slow corners", "1 of 3 parts",
        "the rear's load overpowers it", "degrees of freedom", "husband and wife", "10 ptarmigans", "12 degC", "stated in session.toml",
    ],
)  # fmt: skip
def test_words_in_use_are_let_be(text):
    assert not list(faults("balance/tell/words.py", text))


def test_all_that_people_read_is_looked_through():
    """Sources, vocabulary, documentation and pictures, in numbers that a broken walk would miss by far."""
    counted = defaultdict(int)
    for where, _ in read():
        counted[where.partition("/")[0], Path(where).suffix] += 1
    assert counted["balance", ".py"] > 1500
    assert counted["tui", ".py"] > 1000
    assert counted["balance", ".toml"] > 200
    assert counted["README.md", ".md"] > 50
    assert counted["tests", ".svg"] > 500


def faults(where, text):
    """Find what is gone in a text: the expression, and the exception under which it may stand."""
    for gone in GONE:
        for found in re.finditer(gone, text, re.IGNORECASE):
            excepted = (
                (place, what)
                for place, what in EXCEPT
                if re.fullmatch(place, where)
                for allowed in re.finditer(what, text, re.DOTALL)
                if allowed.start() <= found.start() and found.end() <= allowed.end()
            )
            yield gone, next(excepted, None)


@cache
def everywhere():
    """Find what is gone in all that people read: where, the text, the expression, the exception."""
    return tuple((where, text, *one) for where, text in read() for one in faults(where, text))


@cache
def read():
    """Gather all that people read: where it stands and what it says."""
    return (*of_source(), *of_vocabulary(), *of_readme(), *of_pictures())


def of_source():
    """Read every literal with a blank that is no docstring: a sentence, or a part of one.

    Of a text with figures in it the parts are read as one, with {} where a figure stands.
    """
    for path in sorted((*ROOT.glob("balance/**/*.py"), *ROOT.glob("tui/**/*.py"))):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        documentation, inner = set(), set()
        for node in ast.walk(tree):
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
                documentation.add(node.value)
            if isinstance(node, ast.JoinedStr):
                inner.update(part for part in node.values if isinstance(part, ast.Constant))
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                text = "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                text = node.value
            else:
                continue
            if " " in text and node not in documentation | inner and not STYLE.search(text):
                yield path.relative_to(ROOT).as_posix(), text


def of_vocabulary():
    """Read names and texts of every term; aliases are old words on purpose."""
    for path in sorted(ROOT.glob("balance/model/vocabulary/*.toml")):
        for term in tomllib.loads(path.read_text(encoding="utf-8")).values():
            for key in ("name", "short", "long", "sign"):
                yield path.relative_to(ROOT).as_posix(), term.get(key, "")


def of_readme():
    """Read the lines of the first page, without what stands between back-ticks: commands, keys, files."""
    for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines():
        if line.strip():
            yield "README.md", re.sub(r"`[^`]*`", "``", line)


def of_pictures():
    """Read the lines of the screens as they are drawn: pieces at one height are one line."""
    for path in sorted(ROOT.glob("tests/tui/**/*.svg")):
        lines = defaultdict(str)
        for height, piece in re.findall(
            r'<text [^>]*? y="([0-9.]+)"[^>]*>([^<]*)</text>', path.read_text(encoding="utf-8")
        ):
            lines[height] += html.unescape(piece).replace("\xa0", " ")
        for line in lines.values():
            if line.strip():
                yield path.relative_to(ROOT).as_posix(), line.strip()
