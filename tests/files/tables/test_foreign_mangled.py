"""One table in hundreds of guises: the same session comes out, or a question; never another session."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from balance.files.tables.importing.writing import write_import
from tests.two_ways import same_either_way

VEHICLE = """\
name = "Larkspur coupe (invented)"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
frontal_area = "1.98 m^2"
"""
NEWTONS = {"N": 1.0, "lbf": 4.4482216152605, "kgf": 9.80665, "daN": 10.0}  # exact by definition
FINE = (  # label, configuration, front lift, rear lift, drag, wing angle, speed; invented
    ("012", "as delivered", 99.5, 284.25, 1184.5, "", 160.1),
    ("12A", "splitter", -234.75, 303.5, 1186.25, "", 159.9),
    ("R12", "splitter, wing", -308.5, -140.25, 2225.75, 2.5, 160.2),
    ("13", "splitter, wing", -287.25, -278.5, 1230.5, 5.5, 160.3),
    ("14", "as delivered", 96.5, 287.75, 1153.25, "", 159.8),
)
WHOLE = tuple((a, b, round(c), round(d), round(e), f and round(f), round(g)) for a, b, c, d, e, f, g in FINE)
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252")
SEPARATORS = (",", ";", "\t", "|")
STYLES = {  # decimal mark, mark between thousands
    "point": (".", ""), "comma": (",", ""), "point, comma between thousands": (".", ","),
    "comma, point between thousands": (",", "."), "comma, spaces between thousands": (",", "\u00a0"),
    "point, apostrophes between thousands": (".", "'"),
}  # fmt: skip
MINUSES = ("-", "\u2212", "()", "\u2013", "trailing")
HEADS = (
    "brackets",
    "parentheses",
    "suffix",
    "units row",
    "two lines",
    "two lines, units row",
    "own names",
    "camel",
)
JUNK = (
    "none",
    "facts",
    "sep",
    "comments",
    "tare and averages",
    "header again",
    "missing",
    "void",
    "blank lines",
    "units midway",
)


@dataclass(frozen=True, kw_only=True)
class Bent:
    """How the table is bent."""

    encoding: str = "utf-8"
    separator: str = ","
    style: str = "point"
    minus: str = "-"
    head: str = "brackets"
    unit: str = "N"
    junk: str = "none"
    rows: tuple = field(default=FINE, repr=False)
    words: tuple[str, str, str] = ("Front lift", "Rear lift", "Drag")

    def number(self, value: object) -> str:
        if value == "":
            return ""
        decimal, thousands = STYLES[self.style]
        text = f"{abs(value):,}".replace(",", "\0").replace(".", decimal).replace("\0", thousands)
        if value >= 0:
            return text
        return {"()": f"({text})", "trailing": f"{text}-"}.get(self.minus, f"{self.minus}{text}")

    def head_rows(self, unit: str) -> list[list[str]]:
        front, rear, drag = self.words
        names = ["Run", "Configuration", front, rear, drag, "Wing angle", "Speed"]
        units = ["", "", unit, unit, unit, "deg", "km/h"]
        groups = ["", "", "Lift", "", "Drag", "Wing", ""]
        subs = ["Run", "Configuration", "Front", "Rear", "", "Angle", "Speed"]
        bare = [f"{sub} [{u}]" if u and sub else sub for sub, u in zip(subs, units, strict=True)]
        bare[4] = f"[{unit}]"
        groups_with_unit = [*groups]
        groups_with_unit[4] = f"Drag [{unit}]"
        return {
            "brackets": [[f"{n} [{u}]" if u else n for n, u in zip(names, units, strict=True)]],
            "parentheses": [[f"{n} ({u})" if u else n for n, u in zip(names, units, strict=True)]],
            "suffix": [[f"{n}, {u}" if u else n for n, u in zip(names, units, strict=True)]],
            "units row": [names, units],
            "two lines": [groups_with_unit, [b if i != 4 else "" for i, b in enumerate(bare)]],
            "two lines, units row": [groups, subs, units],
            "own names": [["run", "configuration", f"front_lift [{unit}]", f"rear_lift [{unit}]", f"drag [{unit}]",
                           "wing_angle [deg]", "speed [km/h]"]],
            "camel": [["RunNo", "Config", f"FrontLift_{unit}", f"RearLift_{unit}", f"Drag_{unit}", "WingAngle_deg", "Speed_kph"]],
        }[self.head]  # fmt: skip

    def table(self) -> list[list[str]]:  # noqa: C901 - one kind of junk a line
        """The rows of the file."""
        out: list[list[str]] = []
        if self.junk == "facts":
            out += [
                ["Facility", "a big hall"],
                ["Wind speed", self.number(160.0), "km/h"],
                ["Operator", "A. Person"],
                [],
            ]
        if self.junk == "comments":
            out += [["# made by a logger"], ["# second line of it"]]
        out += self.head_rows(self.unit)
        if self.junk == "tare and averages":
            out += [["Tare 1", "", self.number(1.5), self.number(2.5), self.number(0.5), "", self.number(0)]]
        for position, row in enumerate(self.rows):
            cells = [self.number(v) if i > 1 else v for i, v in enumerate(row)]
            if self.junk == "void":
                cells.append("void" if position == 2 else "")
            if position == 3 and self.junk == "header again":
                out += self.head_rows(self.unit)
            if position == 3 and self.junk == "units midway":
                out += self.head_rows("lbf")
            if position == 3 and self.junk == "missing":
                out.append(["15", "lost", "N/A", "#DIV/0!", "", "", self.number(160.5)])
                out.append(["16", "half lost", cells[2], "n/a", cells[4], "", self.number(160.5)])
            if position == 3 and self.junk == "comments":
                out.append(["# lunch"])
            if position == 3 and self.junk == "blank lines":
                out += [[], ["", "", "", "", "", "", ""]]
            out.append(cells)
        if self.junk == "void":
            out[0] = [*out[0], "Status"]
        if self.junk == "tare and averages":
            out += [
                ["Average", "", *(self.number(v) for v in (-126.9, 91.35, 1396.05)), "", ""],
                ["Printed by the hall"],
            ]
        return out

    def raw(self) -> bytes:
        """The bytes of the file."""
        text = io.StringIO()
        csv.writer(text, delimiter=self.separator).writerows(self.table())
        before = f"sep={self.separator}\r\n" if self.junk == "sep" else ""
        return (before + text.getvalue()).encode(self.encoding, "replace")

    @property
    def writable(self) -> bool:
        """Whether the encoding has every character."""
        try:
            "".join(cell for row in self.table() for cell in row).encode(self.encoding)
        except UnicodeEncodeError:
            return False
        return True

    def truth(self) -> list[tuple[str, str, float, float, float]]:
        """Label, configuration, and front lift, rear lift and drag in N of each run."""
        factors = [
            NEWTONS["lbf" if self.junk == "units midway" and i >= 3 else self.unit]
            for i in range(len(self.rows))
        ]
        return [(r[0], r[1], *(v * f for v in r[2:5])) for r, f in zip(self.rows, factors, strict=True)]


DAY = ImportOptions(speed="160 km/h", air_density="1.225 kg/m^3", forces="as read")


@pytest.fixture(scope="module")
def car(tmp_path_factory):
    folder = tmp_path_factory.mktemp("car")
    (folder / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    return folder


def session_or_questions(car, bent, options=DAY):
    source = car / "runs.txt"
    source.write_bytes(bent.raw())
    plan = plan_import(source, vehicle=car / "vehicle.toml", options=options)
    assert same_either_way(plan) or plan.questions
    return (None, plan) if plan.questions else (write_import(plan, car / "day", dry_run=True), plan)


def same(session, bent):
    got = [
        (r.label, r.configuration, -r.reading.front, -r.reading.rear, r.reading.drag) for r in session.runs
    ]
    truth = bent.truth()
    assert [row[:2] for row in got] == [row[:2] for row in truth]
    for one, other in zip(got, truth, strict=True):
        # a figure brought to another unit keeps at least six digits that count
        assert one[2:] == pytest.approx(
            other[2:], **({"rel": 5.1e-6} if bent.junk == "units midway" else {"abs": 1e-9})
        )


def guises():
    """Every encoding, separator, number style and header; minus sign, unit and junk rows take turns."""
    turns = enumerate(product(ENCODINGS, SEPARATORS, STYLES, HEADS))
    units = tuple(NEWTONS)
    for turn, (encoding, separator, style, head) in turns:
        bent = Bent(
            encoding=encoding, separator=separator, style=style, head=head, minus=MINUSES[turn % len(MINUSES)],
            unit=units[turn % 7 % len(units)], junk=JUNK[turn * 3 % 11 % len(JUNK)],
        )  # fmt: skip
        if bent.writable and not (bent.junk == "void" and head.startswith(("two", "units"))):
            yield bent


@pytest.mark.thorough
def test_every_guise_gives_the_same_session(car):
    asked = []
    count = 0
    for bent in guises():
        count += 1
        session, plan = session_or_questions(car, bent)
        if session is None:
            asked.append((bent, [str(q) for q in plan.questions]))
        else:
            same(session, bent)
    assert count > 700
    assert not asked, asked[:3]  # this table's figures settle every question but those that are answered


ANY = st.builds(
    Bent, encoding=st.sampled_from(ENCODINGS), separator=st.sampled_from(SEPARATORS), style=st.sampled_from(tuple(STYLES)),
    minus=st.sampled_from(MINUSES), head=st.sampled_from(HEADS), unit=st.sampled_from(tuple(NEWTONS)),
    junk=st.sampled_from([junk for junk in JUNK if junk != "void"]), rows=st.sampled_from([FINE, WHOLE]),
)  # fmt: skip


@given(bent=ANY.filter(lambda bent: bent.writable))
def test_any_guise_gives_the_same_session_or_asks(car, bent):
    session, plan = session_or_questions(car, bent)
    if session is None:
        assert all(question.option.startswith("--") for question in plan.questions)
    else:
        same(session, bent)


@given(bent=ANY.filter(lambda bent: bent.writable), cut=st.integers(0, 900), more=st.binary(max_size=3))
def test_damaged_bytes_give_no_traceback(car, bent, cut, more):
    from balance.model.errors import InputError

    raw = bent.raw()
    source = car / "damaged.txt"
    source.write_bytes(raw[:cut] + more + raw[cut + 1 :])
    try:
        plan_import(source, vehicle=car / "vehicle.toml", options=DAY)
    except InputError:
        return
