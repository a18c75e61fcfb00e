"""parts.toml: which car and which part a day means by its words, confirmed once and kept."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from balance.files.day.durable import write_atomically
from balance.files.library.library_file import PARTS_FILE
from balance.files.text_file import clean_text, read_text
from balance.files.toml.document import Document, parsed_toml
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import Field, described, read_fields
from balance.files.toml.splice import cut
from balance.files.toml.tree import written_toml
from balance.model.errors import FileFaults, UnitError
from balance.model.libraries import KnownCar, KnownPart, Said, SaidChange

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

FAMILIES = (
    "wing", "spoiler", "splitter", "canard", "louvre", "vortex generator", "gurney", "diffuser", "other",
)  # fmt: skip
"""What a part may be, told from its name where one of these words stands in it."""
_WHAT = "a library's parts.toml"
_LIMIT = 50_000_000
_HEAD = "# which car and which part a day means by its words; name, family, sizes and note may be changed by hand\n"
_BLOCK = re.compile(r"^[ \t]*\[\[[ \t]*(cars|parts)[ \t]*\]\]", re.MULTILINE)


def _read_said(one: Field, value: Any) -> tuple[str, ...]:
    """Read one text, or one for each of several settings that were changed together; empty ones are not fitted."""
    several = value if isinstance(value, list) else [value]
    texts = [clean_text(text) if isinstance(text, str) else None for text in several]
    if not texts or None in texts:
        raise UnitError(described(value), "a text, or a list of texts", f'write {one.key} = "{one.example}"')
    return tuple(text for text in texts if text is not None)


def _read_sizes(one: Field, value: Any) -> tuple[tuple[str, str], ...]:
    """Read sizes with their units, as text."""
    if not isinstance(value, dict) or not all(isinstance(text, str) for text in value.values()):
        raise UnitError(
            described(value), "sizes with their units, in quotes", f"write {one.key} = {one.example}"
        )
    return tuple(value.items())


_SEEN = (
    Field("day", "text", "my_car_spring_day-1a2b3c4d", required=True),
    Field("setting", "said", "rear_spoiler", required=True, read=_read_said),
    Field("value", "said", "25 mm", required=True, read=_read_said),
    Field("before", "said", "10 mm", read=_read_said),
)
PARTS = (
    Field(
        "cars",
        "tables",
        "[[cars]]",
        fields=(
            Field("name", "text", "Larkspur coupe", required=True),
            Field("seen", "tables", "[[cars.seen]]", fields=(_SEEN[0],)),
        ),
    ),
    Field(
        "parts",
        "tables",
        "[[parts]]",
        fields=(
            Field("name", "text", "Spoiler, low, 25 mm", required=True),
            Field("family", "choice", "spoiler", choices=FAMILIES),
            Field("sizes", "sizes", '{ height = "25 mm" }', read=_read_sizes),
            Field("note", "text", "free text"),
            Field("unasked", "texts", '["rear spoiler 25 mm"]'),
            Field("seen", "tables", "[[parts.seen]]", fields=_SEEN),
        ),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsFile:
    """The cars and parts of a library, and the text that says so."""

    cars: tuple[KnownCar, ...] = ()
    parts: tuple[KnownPart, ...] = ()
    text: str = ""


@dataclass(slots=True, kw_only=True)
class Confirmed:
    """Who is who on one day: the name of its car, and of each part that it says; new ones begin an entry.

    ``unasked`` names the part that some words mean on every day to come.
    """

    day: str
    car: str = ""
    parts: dict[Said, str] = field(default_factory=dict)
    unasked: dict[str, str] = field(default_factory=dict)


def read_parts_file(folder: Path) -> PartsFile:
    """Read the parts.toml of a library, or tell every fault of it; nothing where there is none yet."""
    path = folder / PARTS_FILE
    if not path.exists() and not path.is_symlink():
        return PartsFile()
    shown = str(path)
    return parts_from(read_text(path, shown_as=shown, limit=_LIMIT, what=_WHAT), shown_as=shown)


def parts_from(text: str, *, shown_as: str = PARTS_FILE) -> PartsFile:
    """Read the text of a parts.toml."""
    document = parsed_toml(text, shown_as=shown_as, what=_WHAT, example='name = "Spoiler, low, 25 mm"')
    values = read_fields(document, PARTS)
    if not document.faults:
        _refuse_twice(document, values)
    parts = []
    for i, one in enumerate(values["parts"] or ()):
        seen = []
        for j, said in enumerate(one["seen"] or ()):
            columns = [said["setting"] or (), said["value"] or ()]
            columns.append(said["before"] or ("",) * len(columns[0]))
            if len({len(column) for column in columns}) > 1:
                here = ("parts", i, "seen", j, "value")
                document.fault(
                    here, f"{len(columns[1])} values", f"one for each of {len(columns[0])} settings"
                )
                continue
            changes = (SaidChange(*texts) for texts in zip(*columns, strict=True))
            seen.append((said["day"] or "", tuple(changes)))
        parts.append(
            KnownPart(
                name=one["name"] or "",
                family=one["family"] or "",
                note=one["note"] or "",
                sizes=one["sizes"] or (),
                seen=tuple(seen),
                unasked=tuple(one["unasked"] or ()),
            )
        )
    if document.faults:
        raise FileFaults(document.in_order)
    cars = [
        KnownCar(name=one["name"], seen=tuple(said["day"] for said in one["seen"] or ()))
        for one in values["cars"] or ()
    ]
    return PartsFile(cars=tuple(cars), parts=tuple(parts), text=text)


def _refuse_twice(document: Document, values: dict[str, Any]) -> None:
    """Refuse two entries of one name: nobody could say which is meant."""
    for kind in ("cars", "parts"):
        names: set[str] = set()
        for k, one in enumerate(values[kind] or ()):
            if one["name"] in names:
                document.fault(
                    (kind, k, "name"),
                    "a name that stands there already",
                    "a name for each",
                    "tell them apart",
                )
            names.add(one["name"])


def with_confirmed(file: PartsFile, confirmed: Sequence[Confirmed]) -> str:
    """Return the text of parts.toml with what was confirmed; what stands there stays, comments too.

    What a day said before and now says otherwise goes.
    """
    file = _without_replaced(file, confirmed)
    added = {"cars": _added_cars(file, confirmed), "parts": _added_parts(file, confirmed)}
    tree = tomllib.loads(file.text)
    for kind, entries in added.items():
        named = {one["name"]: one for one in tree.setdefault(kind, [])}
        for name, seen in entries.items():
            if name not in named:
                named[name] = {"name": name} | _family(name, kind, seen)
                tree[kind].append(named[name])
            named[name].setdefault("seen", []).extend(seen)
    for kind in added:
        if not tree[kind]:
            del tree[kind]
    spliced = _spliced(file, added)
    try:
        same = tomllib.loads(spliced) == tree
    except tomllib.TOMLDecodeError:
        same = False
    return _with_unasked(spliced if same else _HEAD + written_toml(tree), confirmed)


def _with_unasked(text: str, confirmed: Sequence[Confirmed]) -> str:
    """Note which words mean a part on every day to come."""
    if not any(one.unasked for one in confirmed):
        return text
    for i, part in enumerate(parts_from(text).parts):
        if more := _more_unasked(part, confirmed):
            text = edited_toml(PARTS, text, {f"parts.{i}.unasked": (*part.unasked, *more)})
    return text


def _more_unasked(part: KnownPart, confirmed: Sequence[Confirmed]) -> list[str]:
    words = [words for one in confirmed for words, name in one.unasked.items() if name == part.name]
    return [one for one in dict.fromkeys(words) if one not in part.unasked]


def write_confirmed(folder: Path, confirmed: Sequence[Confirmed]) -> None:
    """Add to parts.toml what was confirmed and does not stand there yet."""
    file = read_parts_file(folder)
    if adds(file, confirmed):
        write_atomically(folder / PARTS_FILE, with_confirmed(file, confirmed).encode())


def adds(file: PartsFile, confirmed: Sequence[Confirmed]) -> bool:
    """Tell whether anything was confirmed that parts.toml does not say yet."""
    if _replaced(file, confirmed) or any(_more_unasked(part, confirmed) for part in file.parts):
        return True
    return bool(_added_cars(file, confirmed) or _added_parts(file, confirmed))


def _replaced(file: PartsFile, confirmed: Sequence[Confirmed]) -> list[tuple[str | int, ...]]:
    """Find where a day of parts.toml says another car or part than was confirmed."""
    cars = {one.day: one.car for one in confirmed if one.car}
    parts = {(one.day, said): name for one in confirmed for said, name in one.parts.items()}
    return [
        *(
            ("cars", i, "seen", j)
            for i, car in enumerate(file.cars)
            for j, day in enumerate(car.seen)
            if cars.get(day, car.name) != car.name
        ),
        *(
            ("parts", i, "seen", j)
            for i, part in enumerate(file.parts)
            for j, seen in enumerate(part.seen)
            if parts.get(seen, part.name) != part.name
        ),
    ]


def _without_replaced(file: PartsFile, confirmed: Sequence[Confirmed]) -> PartsFile:
    """Take out what a day says otherwise now, the last first, so that the places of the others stay."""
    text = file.text
    for path in reversed(_replaced(file, confirmed)):
        text = cut(text, path, kept=False)
    return file if text == file.text else parts_from(text)


def _added_cars(file: PartsFile, confirmed: Sequence[Confirmed]) -> dict[str, list[dict[str, Any]]]:
    there = {day for car in file.cars for day in car.seen}
    added: dict[str, list[dict[str, Any]]] = {}
    for one in confirmed:
        if one.car and one.day not in there:
            added.setdefault(one.car, []).append({"day": one.day})
    return added


def _added_parts(file: PartsFile, confirmed: Sequence[Confirmed]) -> dict[str, list[dict[str, Any]]]:
    there = {seen for part in file.parts for seen in part.seen}
    added: dict[str, list[dict[str, Any]]] = {}
    for one in confirmed:
        for said, name in one.parts.items():
            if (one.day, said) not in there:
                added.setdefault(name, []).append(_seen_tree(one.day, said))
    return added


def _seen_tree(day: str, said: Said) -> dict[str, Any]:
    """State how a day says a part, texts alone where one setting was changed."""
    columns: dict[str, list[str]] = {
        "setting": [change.setting for change in said],
        "value": [change.value for change in said],
    }
    if any(change.before for change in said):
        columns["before"] = [change.before for change in said]
    return {"day": day} | {key: texts[0] if len(said) == 1 else texts for key, texts in columns.items()}


def family_told(name: str) -> str:
    """Tell the family of a part or a setting from its name; the text is empty where no word of it says one."""
    words = name.casefold().replace("_", " ")
    return next((one for one in FAMILIES if one in words), "")


def _family(name: str, kind: str, seen: Sequence[dict[str, Any]]) -> dict[str, str]:
    """Tell the family of a new part from its name; several settings changed at once are of none."""
    found = family_told(name)
    if any(isinstance(one.get("setting"), list) for one in seen):
        found = FAMILIES[-1]
    return {"family": found} if kind == "parts" and found else {}


def _spliced(file: PartsFile, added: Mapping[str, Mapping[str, Sequence[dict[str, Any]]]]) -> str:
    """Put what is new behind the entry that it belongs to, and new entries at the end."""
    text = file.text or _HEAD
    names = {"cars": [one.name for one in file.cars], "parts": [one.name for one in file.parts]}
    heads = list(_BLOCK.finditer(text))
    ends = [*(head.start() for head in heads[1:]), len(text)][: len(heads)]
    counted = {"cars": 0, "parts": 0}
    pieces = [text[: heads[0].start()] if heads else text]
    for head, end in zip(heads, ends, strict=True):
        kind = head[1]
        block = text[head.start() : end]
        name = names[kind][counted[kind]] if counted[kind] < len(names[kind]) else ""
        counted[kind] += 1
        seen = added[kind].get(name, ())
        pieces += _before_comments(block, "".join(_tables(f"{kind}.seen", seen))) if seen else [block]
    for kind, entries in added.items():
        for name, seen in entries.items():
            if name not in names[kind]:
                pieces += _tables(kind, [{"name": name} | _family(name, kind, seen)])
                pieces += _tables(f"{kind}.seen", seen)
    return "".join(pieces)


def _tables(head: str, trees: Sequence[dict[str, Any]]) -> Iterator[str]:
    for tree in trees:
        yield f"\n[[{head}]]\n{written_toml(tree)}"


def _before_comments(block: str, added: str) -> list[str]:
    """Put text at the end of a block, before blank lines and comments: those belong to what follows."""
    lines = block.splitlines(keepends=True)
    end = len(lines)
    while end and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    kept = "".join(lines[:end])
    return [kept, "" if kept.endswith("\n") else "\n", added, *lines[end:]]
