"""report.toml: what the engineer wants in the customer's report, how deep, in which order, and in whose words."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from balance.files.formats.what_if import WHAT_IF_FILE, read_what_ifs
from balance.files.session_path import folder_name
from balance.files.text_file import clean_text
from balance.files.toml.document import read_toml
from balance.files.toml.fields import Field, described, read_fields, read_flag
from balance.files.track_path import tracks_of
from balance.model.errors import FileFaults, UnitError, did_you_mean, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from balance.files.toml.document import Document
    from balance.model.records import Session

REPORT_FILE, OLD_FILE = "report.toml", "brief.toml"
"""The file, and the name that it had before: that is read and changed where the file of the new name is absent."""
SECTIONS: Mapping[str, str] = MappingProxyType(
    {
        "answer": "Recommendation",
        "parts": "What each part did",
        "balance": "Configurations and grip balance",
        "wing": "Setting by setting",
        "what_if": "What if",
        "track": "On the track",
        "car": "The car and what was done",
        "baseline": "Where the car started",
        "places": "At each named speed",
        "cost": "Drag and power",
        "scatter": "Repeatability",
        "limits": "Limits and cautions",
        "appendix": "Appendix",
    }
)
"""Sections of a report and their headings, in their usual order."""
SHORT = ("answer", "parts", "balance", "wing", "what_if", "track", "limits")
"""The sections of a report that is not full."""
OTHER_NAMES: Mapping[str, str] = MappingProxyType({"recommendation": "answer"})
"""What else a section, and the key of the run arrived at, may be called in the file."""
ALWAYS = "limits"
"""The section that no report is without: its own text stays, and words can be added to it alone."""
LONG_WORDS = 600
"""Characters of own words that the screen takes; longer ones, from a file, stand at the end of the report."""
MOST_WORDS = 20_000


_IMAGE = re.compile(r"!\[[^\]\n]*\] ?[(\[]|<\s*(?:img|picture|svg)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenFor:
    """What some own words were written for: the label of the run recommended, and its verdict over the range."""

    recommendation: str
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefChoices:
    """What the engineer chose; what is None or empty is chosen by the report itself, which then says so."""

    title: str | None = None
    prepared_for: str | None = None
    prepared_by: str | None = None
    speed: float | None = None
    units: Literal["si", "us", "kgf"] | None = None
    depth: Literal["short", "full"] = "short"
    baseline: str | None = None
    answer: str | None = None
    runs: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    sections: tuple[str, ...] = tuple(SECTIONS)
    words: Mapping[str, str] = field(default_factory=dict)
    written_for: Mapping[str, WrittenFor] = field(default_factory=dict)
    what_ifs: tuple[str, ...] = ()
    track: str | None = None
    library: bool = False


def _read_markdown(one: Field, value: Any) -> str:
    """Read text whose lines and blank lines count."""
    if not isinstance(value, str) or not value.strip():
        raise UnitError(
            found=described(value), expected="words in Markdown", mend=f'write {one.key} = "your words"'
        )
    if len(value) > MOST_WORDS:
        raise UnitError(found=f"{len(value)} characters", expected=f"at most {MOST_WORDS}")
    if _IMAGE.search(value):
        raise UnitError(
            found="an image", expected="words alone: images are not taken into a report", mend="take it out"
        )
    if any(clean_text(line) is None for line in value.splitlines()):
        raise UnitError(found="control characters", expected="words in Markdown", mend="type them again")
    return value


_OF_A_SECTION = (*SECTIONS, *OTHER_NAMES)
BRIEF = (
    Field("title", "text", "What the wing did"),
    Field("prepared_for", "text", "the owner of the car"),
    Field("prepared_by", "text", "your name"),
    Field("speed", "speed", "148 km/h", low="10 km/h", high="600 km/h", chosen=True),
    Field("units", "choice", "si", choices=("si", "us", "kgf")),
    Field("depth", "choice", "full", choices=("short", "full")),
    Field("baseline", "text", "1"),
    Field("answer", "text", "15"),
    Field("recommendation", "text", "15"),
    Field("runs", "texts", '["1", "4", "15"]'),
    Field("parts", "texts", '["4", "10", "15"]'),
    Field("order", "texts", '["answer", "parts"]'),
    Field("leave_out", "texts", '["wing"]'),
    Field(
        "words",
        "table",
        "a table [words]",
        fields=tuple(Field(key, "prose", "", read=_read_markdown) for key in _OF_A_SECTION),
    ),
    Field(
        "written_for",
        "table",
        "a table [written_for]",
        fields=tuple(
            Field(
                key,
                "table",
                '{ recommendation = "15", verdict = "in balance" }',
                fields=(
                    Field("recommendation", "text", "15", required=True),
                    Field("verdict", "text", "in balance", required=True),
                ),
            )
            for key in _OF_A_SECTION
        ),
    ),
    Field("what_ifs", "texts", '["one degree less wing"]'),
    Field("track", "text", "upper_field_loop"),
    Field("library", "flag", "true", read=read_flag),
)


def read_brief(session: Session, folder: Path) -> BriefChoices:
    """Read what a session's report is to hold."""
    document = read_report_file(folder)
    if document is None:
        return BriefChoices()
    saved = [what_if.name for what_if in read_what_ifs(session, folder)]
    choices = choices_from(document, session, saved)
    if document.faults:
        raise FileFaults(document.in_order)
    return choices


def report_file(folder: Path) -> str:
    """Return the name of the file that a day's report is chosen in: that which is there, else the new one."""
    old = not (folder / REPORT_FILE).exists() and (folder / OLD_FILE).exists()
    return OLD_FILE if old else REPORT_FILE


def read_report_file(folder: Path) -> Document | None:
    """Parse the file of either name; none where there is none. Both at once is a fault, for one would be ignored."""
    name = report_file(folder)
    if not (folder / name).exists():
        return None
    document = read_toml(folder / name, shown_as=name, what=f"a {name}")
    if name == REPORT_FILE and (folder / OLD_FILE).exists():
        document.fault(
            (), f"{OLD_FILE} beside it", "one of both", f"move what is wanted here, and take out {OLD_FILE}"
        )
    return document


def choices_from(document: Document, session: Session, saved: Iterable[str]) -> BriefChoices:
    """Read the choices of a report.toml that was parsed, adding every fault to the document."""
    values = read_fields(document, BRIEF)
    used = [run.label for run in session.used]
    void = [run.label for run in session.runs if run.status == "void"]
    for key in ("baseline", "answer", "recommendation"):
        _known(document, (key,), [values[key]] if values[key] else [], used, void)
    for key in ("runs", "parts"):
        _known(document, (key,), values[key] or [], used, void)
    if values["answer"] and values["recommendation"]:
        document.fault(("answer",), "recommendation as well", "one of both", "take out answer")
    return BriefChoices(
        title=values["title"] or None,
        prepared_for=values["prepared_for"] or None,
        prepared_by=values["prepared_by"] or None,
        speed=values["speed"],
        units=values["units"],
        depth=values["depth"] or "short",
        baseline=values["baseline"] or None,
        answer=values["recommendation"] or values["answer"] or None,
        runs=tuple(values["runs"] or ()),
        parts=tuple(values["parts"] or ()),
        what_ifs=_what_ifs(document, values["what_ifs"] or (), saved),
        track=_track(document, values["track"] or "", session),
        library=bool(values["library"]),
        sections=_sections(document, values["order"] or (), values["leave_out"] or ()),
        words={key: text for key, text in _by_section(document, "words", values).items() if text},
        written_for={
            key: WrittenFor(**one)
            for key, one in _by_section(document, "written_for", values).items()
            if one and all(one.values())
        },
    )


def _by_section(document: Document, table: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Give what stands in a table by section, each under its usual name."""
    held: dict[str, Any] = values[table] or {}
    for other, usual in OTHER_NAMES.items():
        if held.get(other) and held.get(usual):
            document.fault((table, usual), f"{other} as well", "one of both", f"take out {usual}")
    return {
        usual: held.get(usual) or next((held[o] for o, u in OTHER_NAMES.items() if u == usual), None)
        for usual in SECTIONS
        if held
    }


def _known(
    document: Document, path: tuple[str, ...], labels: Iterable[str], used: list[str], void: list[str]
) -> None:
    """Find runs that are not there, do not count, or are named twice."""
    seen: set[str] = set()
    for label in labels:
        if label in void:
            document.fault(path, f"run {quoted(label)}, which is void", "runs that count", "take it out")
        elif label not in used:
            document.fault(path, f"run {quoted(label)}", "a run of this day", did_you_mean(label, used))
        elif label in seen:
            document.fault(path, f"run {quoted(label)} twice", "each run once", "take one out")
        seen.add(label)


def _what_ifs(document: Document, names: Iterable[str], saved: Iterable[str]) -> tuple[str, ...]:
    """Find what-ifs that are not saved in the session."""
    known = tuple(saved)
    for name in names:
        if name not in known:
            mend = did_you_mean(name, known) or (
                f"known here: {', '.join(known)}" if known else "save it first"
            )
            document.fault(("what_ifs",), quoted(name), f"the name of a what-if in {WHAT_IF_FILE}", mend)
    return tuple(dict.fromkeys(names))


def _track(document: Document, name: str, session: Session) -> str | None:
    """Find the track that the report is to look at among those of the car."""
    if not name:
        return None
    known = [folder.name for folder in tracks_of(Path(session.vehicle.source).parent)]
    found = folder_name(name)
    if found in known:
        return found
    mend = did_you_mean(name, known) or (f"known here: {', '.join(known)}" if known else "make one first")
    document.fault(("track",), quoted(name), "a track of the car", mend)
    return None


def _sections(document: Document, order: Iterable[str], left_out: Iterable[str]) -> tuple[str, ...]:
    """Put sections in order: those named first, then the others as usual; limits and cautions always stay."""
    known = f"known here: {', '.join(SECTIONS)}"
    for key, names in (("order", order), ("leave_out", left_out)):
        for name in names:
            if name not in _OF_A_SECTION:
                mend = did_you_mean(name, SECTIONS) or known
                document.fault((key,), quoted(name), "a section of a report", mend)
    left_out = [OTHER_NAMES.get(name, name) for name in left_out]
    if ALWAYS in left_out:
        document.fault(
            ("leave_out",),
            quoted(ALWAYS),
            "sections that may be left out",
            "take it out: no report goes to a customer without its limits and cautions",
        )
    return tuple(name for name in section_order(order) if name == ALWAYS or name not in left_out)


def section_order(named: Iterable[str]) -> tuple[str, ...]:
    """Put every section in order: those named first, then the others as usual.

    Examples
    --------
    >>> section_order(["parts", "recommendation"])[:4]
    ('parts', 'answer', 'balance', 'wing')
    """
    usual = (OTHER_NAMES.get(name, name) for name in named)
    first = [name for name in dict.fromkeys(usual) if name in SECTIONS]
    return (*first, *(other for other in SECTIONS if other not in first))
