"""What a page will hold, in words for whoever puts it together."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.formats.report import ALWAYS, SECTIONS, SHORT
from balance.model.errors import quoted
from balance.tell.figures import show_of
from balance.units.shown import name_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from balance.files.formats.report_edit import BriefOnDisk
    from balance.model.errors import Fault
    from balance.tell.report.report_data import ReportData

LABELS: Mapping[str, str] = MappingProxyType(
    {
        "title": "title",
        "prepared_for": "prepared for",
        "prepared_by": "prepared by",
        "speed": "stated at speed",
        "units": "units",
        "depth": "depth: short, full",
        "answer": "recommended: run",
        "baseline": "baseline: run",
        "runs": "runs in tables",
        "parts": "parts, by run",
    }
)
"""What can be typed in one line, and what it is called."""
STAYS = "limits and cautions always stay: no report goes to a customer without them"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that a page may hold: ``kind`` is section or what_if, ``name`` its own, ``words`` the line for it."""

    kind: str
    name: str
    words: str
    inside: bool


def own_choices(report: ReportData) -> dict[str, str]:
    """State what the page itself puts where nothing was chosen."""
    labels = [run.label for run in report.runs]
    pairs = report.parts.increments.pairs
    return {
        "title": report.usual_title,
        "prepared_for": "not said",
        "prepared_by": "not said",
        "speed": f"{report.show.speed(report.speed)} · {report.speed_why}",
        "units": f"{name_of(show_of(report.session).system)} · as the day is written",
        "depth": "short · at most four sheets; or full",
        "answer": f"{report.run(report.answer).label} · chosen by rule",
        "baseline": f"{report.run(report.baseline).label} · the first run",
        "runs": ", ".join(report.run(row).label for row in report.shown),
        "parts": ", ".join(labels[pairs[row].run] for row in report.told) or "none differs from its baseline",
    }


def contents(brief: BriefOnDisk) -> tuple[Entry, ...]:
    """List what a page may hold: sections in order, then the what-ifs saved beside the session."""
    sections = []
    for name in brief.sections:
        inside = name == ALWAYS or name not in brief.left_out
        words = f"{'in  ' if inside else 'out '}{SECTIONS[name]}"
        words += ", always" if name == ALWAYS else ""
        words += ", own words" if f"words.{name}" in brief.texts else ""
        words += "" if name in SHORT or brief.texts.get("depth") == "full" else ", in full only"
        sections.append(Entry(kind="section", name=name, words=words, inside=inside))
    names = dict.fromkeys((*brief.saved_what_ifs, *brief.what_ifs))
    what_ifs = []
    for name in names:
        inside = name in brief.what_ifs
        words = f"{'in  ' if inside else 'out '}what if: {name}"
        words += "" if name in brief.saved_what_ifs else " (× not in what_if.toml)"
        what_ifs.append(Entry(kind="what_if", name=name, words=words, inside=inside))
    return (*sections, *what_ifs)


def words_head(section: str) -> str:
    """State whose words these are and where they will stand."""
    return f"Own words in Markdown under “{SECTIONS[section]}”"


def fault_words(fault: Fault) -> str:
    """State a fault where its place is plain to see."""
    mend = f"; {fault.mend}" if fault.mend else ""
    return f"found {fault.found}, expected {fault.expected}{mend}"


def other_faults(brief: BriefOnDisk) -> tuple[str, ...]:
    """Return the faults that stand beside no field, with file and line."""
    return tuple(
        str(fault)
        for fault in brief.faults
        if fault.column not in LABELS and not (fault.column or "").startswith("words.")
    )


def words_faults(faults: Mapping[str, str]) -> tuple[str, ...]:
    """State what is wrong with own words, with the section that they stand under."""
    own = {key.removeprefix("words."): text for key, text in faults.items() if key.startswith("words.")}
    return stale_lines(own)


def stale_lines(stale: Mapping[str, str]) -> tuple[str, ...]:
    """State of which own words recommendation or verdict has changed since they were written."""
    return tuple(f"{own_words_under(name)}: {text}" for name, text in stale.items())


def own_words_under(section: str) -> str:
    """Name the own words of a section."""
    return f"own words under “{SECTIONS.get(section, section)}”"


def changed_words(theirs: str, file: str) -> str:
    """State that a key was changed by somebody else while it was typed."""
    return (
        f"found {quoted(theirs)} put into {file} by another program meanwhile, expected it as it was; "
        "yours is kept here, and saved once you change it again"
    )


def state_line(typed: Iterable[str], file: str) -> str:
    """State what the file does not hold yet."""
    names = _names(typed)
    saved = f"not saved yet, kept here: {names}" if names else f"all of it is in {file}"
    return f"the customer's report · {saved} · {STAYS}"


def lost_words(typed: Iterable[str], file: str) -> str:
    """State what would be lost by leaving."""
    return f"Not in {file} and lost by leaving: {_names(typed)} (page 7 shows why)."


def kept_words(typed: Iterable[str], file: str) -> str:
    """State what is in the journal and not in the file of the customer's page."""
    return f"Typed and not in {file}, kept in the journal: {_names(typed)} (page 7 shows it, and why)."


def _names(typed: Iterable[str]) -> str:
    return ", ".join(LABELS.get(key) or own_words_under(key.removeprefix("words.")) for key in typed)


def page_line(path: str, stage: str = "") -> str:
    """State where the page will be, or is."""
    if stage == "writing":
        return f"… writing the report; its pictures take some seconds\n{path}"
    if stage == "written":
        return f"✔ The report is written; open it in any browser, and print it from there\n{path}"
    return f"F10 writes the report, over the last one of that name\n{path}"


def not_written(why: str = "") -> str:
    """State why there is no new page."""
    return f"× The report is not written\n{why or 'what is marked with × has to be mended first'}"
