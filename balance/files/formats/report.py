"""brief.toml: what the engineer wants in the customer's brief, in which order, and in whose words."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from balance.files.formats.what_if import WHAT_IF_FILE, read_what_ifs
from balance.files.text_file import clean_text
from balance.files.toml.document import read_toml
from balance.files.toml.fields import Field, described, read_fields
from balance.model.errors import FileFaults, UnitError, did_you_mean, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from balance.files.toml.document import Document
    from balance.model.records import Session

BRIEF_FILE = "brief.toml"
SECTIONS: Mapping[str, str] = MappingProxyType(
    {
        "answer": "The answer",
        "car": "The car and what was done",
        "baseline": "Where the car started",
        "parts": "Part by part",
        "balance": "Balance against the target and against speed",
        "wing": "The wing, setting by setting",
        "places": "What it does at each place",
        "cost": "What it costs",
        "what_if": "What if",
        "scatter": "How well the day could tell",
        "limits": "Limits and cautions",
        "appendix": "Appendix",
    }
)
"""Sections of a brief and their headings, in their usual order."""
ALWAYS = "limits"
"""The section that no brief is without."""
MOST_WORDS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefChoices:
    """What the engineer chose; what is None or empty is chosen by the brief itself, which then says so."""

    title: str | None = None
    prepared_for: str | None = None
    prepared_by: str | None = None
    speed: float | None = None
    units: Literal["si", "us", "kgf"] | None = None
    baseline: str | None = None
    answer: str | None = None
    runs: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    sections: tuple[str, ...] = tuple(SECTIONS)
    words: Mapping[str, str] = field(default_factory=dict)
    what_ifs: tuple[str, ...] = ()


def _read_markdown(one: Field, value: Any) -> str:
    """Read text whose lines and blank lines count."""
    if not isinstance(value, str) or not value.strip():
        raise UnitError(described(value), "words in Markdown", f'write {one.key} = "your words"')
    if len(value) > MOST_WORDS:
        raise UnitError(f"{len(value)} characters", f"at most {MOST_WORDS}")
    if any(clean_text(line) is None for line in value.splitlines()):
        raise UnitError("control characters", "words in Markdown", "type them again")
    return value


BRIEF = (
    Field("title", "text", "What the wing did"),
    Field("prepared_for", "text", "the owner of the car"),
    Field("prepared_by", "text", "your name"),
    Field("speed", "speed", "148 km/h", low="10 km/h", high="600 km/h", chosen=True),
    Field("units", "choice", "si", choices=("si", "us", "kgf")),
    Field("baseline", "text", "1"),
    Field("answer", "text", "15"),
    Field("runs", "texts", '["1", "4", "15"]'),
    Field("parts", "texts", '["4", "10", "15"]'),
    Field("order", "texts", '["answer", "parts"]'),
    Field("leave_out", "texts", '["wing"]'),
    Field(
        "words",
        "table",
        "a table [words]",
        fields=tuple(Field(key, "prose", "", read=_read_markdown) for key in SECTIONS),
    ),
    Field("what_ifs", "texts", '["one degree less wing"]'),
)


_SINGLE = ("title", "prepared_for", "prepared_by", "speed", "units", "baseline", "answer")


def read_brief(session: Session, folder: Path) -> BriefChoices:
    """Read what a session's brief is to hold."""
    path = folder / BRIEF_FILE
    if not path.exists():
        return BriefChoices()
    document = read_toml(path, shown_as=BRIEF_FILE, what="a brief.toml")
    saved = [what_if.name for what_if in read_what_ifs(session, folder)]
    choices = choices_from(document, session, saved)
    if document.faults:
        raise FileFaults(document.in_order)
    return choices


def choices_from(document: Document, session: Session, saved: Iterable[str]) -> BriefChoices:
    """Read the choices of a brief.toml that was parsed, adding every fault to the document."""
    values = read_fields(document, BRIEF)
    used = [run.label for run in session.used]
    void = [run.label for run in session.runs if run.status == "void"]
    for key in ("baseline", "answer"):
        _known(document, (key,), [values[key]] if values[key] else [], used, void)
    for key in ("runs", "parts"):
        _known(document, (key,), values[key] or [], used, void)
    plain: dict[str, Any] = {key: values[key] or None for key in _SINGLE}
    plain |= {key: tuple(values[key] or ()) for key in ("runs", "parts")}
    return BriefChoices(
        **plain,
        what_ifs=_what_ifs(document, values["what_ifs"] or (), saved),
        sections=_sections(document, values["order"] or (), values["leave_out"] or ()),
        words={key: text for key, text in (values["words"] or {}).items() if text},
    )


def _known(
    document: Document, path: tuple[str, ...], labels: Iterable[str], used: list[str], void: list[str]
) -> None:
    """Find runs that are not there, do not count, or are named twice."""
    seen: set[str] = set()
    for label in labels:
        if label in void:
            document.fault(path, f"run {quoted(label)}, which is void", "runs that count", "take it out")
        elif label not in used:
            document.fault(path, f"run {quoted(label)}", "a run of this session", did_you_mean(label, used))
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


def _sections(document: Document, order: Iterable[str], left_out: Iterable[str]) -> tuple[str, ...]:
    """Put sections in order: those named first, then the others as usual; limits and cautions always stay."""
    known = f"known here: {', '.join(SECTIONS)}"
    for key, names in (("order", order), ("leave_out", left_out)):
        for name in names:
            if name not in SECTIONS:
                mend = did_you_mean(name, SECTIONS) or known
                document.fault((key,), quoted(name), "a section of a brief", mend)
    if ALWAYS in left_out:
        document.fault(
            ("leave_out",),
            quoted(ALWAYS),
            "sections that may be left out",
            "take it out: no brief goes to a customer without its limits and cautions",
        )
    return tuple(name for name in section_order(order) if name == ALWAYS or name not in left_out)


def section_order(named: Iterable[str]) -> tuple[str, ...]:
    """Put every section in order: those named first, then the others as usual.

    Examples
    --------
    >>> section_order(["parts", "answer"])[:4]
    ('parts', 'answer', 'car', 'baseline')
    """
    first = [name for name in dict.fromkeys(named) if name in SECTIONS]
    return (*first, *(other for other in SECTIONS if other not in first))
