"""The car and the session as their files state them, to be corrected in the forms in which new ones are typed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.files.day.stated_disk import look_at_stated, sessions_of_car
from balance.files.formats.vehicle import VEHICLE
from balance.files.session_path import SESSION_FILE
from balance.files.toml.fields import check_typed
from balance.model.errors import FileFaults, OutsideChange, SaveError
from tui.features.car_and_day.files_form import Asked, EditFile, MeanwhileChanged, Subject
from tui.features.car_and_day.new_car import ABOUT_CAR, car_fields, weights_not_asked
from tui.features.car_and_day.new_session import (
    ABOUT_SESSION,
    MORE_PLACES,
    check_session_field,
    place_texts,
    session_fields,
)
from tui.widgets.plain import plain

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence
    from pathlib import Path

    from balance.files.day.open_day import OpenDay
    from balance.files.day.stated_disk import StatedOnDisk
    from tui.host.host import Host

WAY_BACK = "U takes it back · an emptied line stays in the file as a comment"
_NAMED = 3
"""Sessions that share a car, or changes of a file, that are named one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedFile:
    """What the form of one of the two files is: its words, its fields for texts, and how one of them is checked."""

    heading: str
    about: str
    fields: Callable[[Mapping[str, str]], tuple[Asked, ...]]
    check: Callable[[str, str], None]
    not_asked: Callable[[Mapping[str, str]], Collection[str]] = lambda _typed: ()
    remark: str = ""


class StatedEdit(Subject):
    """A file of the open day in a form: what it says, what was typed, and what is saved of it."""

    def __init__(self, app: Host, day: OpenDay, file: StatedFile, found: StatedOnDisk) -> None:
        self._app, self._day, self._file, self._found = app, day, file, found
        self.heading, self.about = file.heading, file.about
        self.asked = file.fields(found.texts)

    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be."""
        self._file.check(key, text)

    def not_asked(self, typed: Mapping[str, str]) -> Collection[str]:
        """Name the fields that need not be asked, as others say the same."""
        return self._file.not_asked(typed)

    def outcome(self, typed: Mapping[str, str]) -> tuple[str, ...]:
        """State what would be saved, and who else reads it."""
        said, name = self._said(typed), self._found.path.name
        remark = (self._file.remark,) if self._file.remark else ()
        if not said:
            return (f"nothing is changed yet in {name}", *remark)
        return (f"saves in {name}: {', '.join(said)}", *remark, WAY_BACK)

    @property
    def typed_before(self) -> Mapping[str, str]:
        """What was typed before, and neither saved nor dropped."""
        return self._day.half_typed.forms.get(self._name, {})

    def keep(self, typed: Mapping[str, str]) -> str:
        """Keep what is typed and not saved in the journal of the day."""
        return self._day.half_typed.keep_form(self._name, typed)

    @property
    def _name(self) -> str:
        return self._day.name_of(self._found.path)

    def write(self, typed: Mapping[str, str]) -> str:
        """Save what was changed."""
        said, path = self._said(typed), self._found.path
        if not said:
            return ""
        if self._app.open_day.day is not self._day:
            raise SaveError(f"{path}: found another day open, expected the one of this form; open it again")
        try:
            self._day.edit(f"{path.name}: {_few(said)}", path, self._changes(typed), seen=self._found.stamp)
        except OutsideChange:
            raise self._meanwhile(typed) from None
        return str(path)

    def written(self, typed: Mapping[str, str]) -> None:
        """Show the day as it is then."""
        if said := self._said(typed):
            self._app.open_day.show()
            self._app.notify(f"{self._found.path.name} saved: {', '.join(said)}", markup=False, timeout=8)

    def _meanwhile(self, typed: Mapping[str, str]) -> MeanwhileChanged:
        """Take in what somebody else has made of the file; what was typed here stands over it."""
        before, self._found = self._found, look_at_stated(self._found.path)
        words = [
            f"{self._found.path.name} was changed outside axletrim meanwhile: nothing was overwritten, and it was read again"
        ]
        for one in self.asked:
            old, now = (plain(found.texts.get(one.key, "")) for found in (before, self._found))
            here = typed.get(one.key, "")
            if old != now and here not in (old, now):
                words.append(f"{one.label}: here {here or 'nothing'}, in the file by now {now or 'nothing'}")
        words.append("F10 saves what was typed here, and leaves the rest as it is in the file by now")
        return MeanwhileChanged(words, self._found.texts)

    def _changes(self, typed: Mapping[str, str]) -> dict[str, str | None]:
        """Return what is typed otherwise than it stands in the file, by dotted keys; nothing for what was emptied."""
        texts = self._found.texts
        changes: dict[str, str | None] = {}
        for one in self.asked:
            text = typed.get(one.key, "")
            if one.key != MORE_PLACES and text != plain(texts.get(one.key, "")).strip():
                changes[one.key] = text or None
        count = len({key.split(".")[1] for key in texts if key.startswith("places.")})
        return {**changes, **place_texts(typed.get(MORE_PLACES, ""), first=count)}

    def _said(self, typed: Mapping[str, str]) -> list[str]:
        """State field by field what is changed from what to what."""
        said = []
        for one in self.asked:
            old, new = plain(self._found.texts.get(one.key, "")).strip(), typed.get(one.key, "")
            if one.key == MORE_PLACES:
                said += [f"{one.label} {new}"] if new else []
            elif old != new:
                said.append(f"{one.label} {old or 'not stated'} → {new or 'not stated'}")
        return said


def _few(said: Sequence[str]) -> str:
    """Name the first changes, and how many more there are."""
    more = f" and {len(said) - _NAMED} more" if len(said) > _NAMED else ""
    return f"{', '.join(said[:_NAMED])}{more}"


def edit_car(app: Host) -> None:
    """Let the car of the session at hand be corrected."""
    day = app.open_day.ready()
    if day is None:
        return
    path = day.car_file
    others = sessions_of_car(path, but=day.folder)
    remark = ""
    if others:
        count = "another day uses" if len(others) == 1 else f"{len(others)} other days use"
        remark = f"{count} this file too: {_few([plain(other) for other in others])}"
    file = StatedFile(
        heading=f"C A R   {path.resolve()}",
        about=ABOUT_CAR,
        fields=car_fields,
        check=lambda key, text: check_typed(VEHICLE, key, text),
        not_asked=weights_not_asked,
        remark=remark,
    )
    _show(app, day, path, file)


def edit_session(app: Host) -> None:
    """Let the session at hand be corrected: its facility, stated scatter and places."""
    day = app.open_day.ready()
    if day is None:
        return
    path = day.folder / SESSION_FILE
    file = StatedFile(
        heading=f"D A Y   {path.resolve()}",
        about=ABOUT_SESSION,
        fields=_with_places,
        check=check_session_field,
    )
    _show(app, day, path, file)


def _show(app: Host, day: OpenDay, path: Path, file: StatedFile) -> None:
    try:
        found = look_at_stated(path)
    except FileFaults as faults:
        app.notify(str(faults), severity="error", markup=False, timeout=10)
        return
    app.push_screen(EditFile(StatedEdit(app, day, file, found)))


def _with_places(texts: Mapping[str, str]) -> tuple[Asked, ...]:
    """Return the fields of a session, each of its places with two of its own above the one for more of them."""
    *fields, more = session_fields(texts)
    numbers = sorted({int(key.split(".")[1]) for key in texts if key.startswith("places.")})
    for number in numbers:
        name, speed = f"places.{number}.name", f"places.{number}.speed"
        heading = "" if number else more.heading
        fields.append(
            Asked(key=name, label=f"place {number + 1}", value=texts.get(name, ""), heading=heading)
        )
        fields.append(Asked(key=speed, label="its speed", value=texts.get(speed, ""), example="160 km/h"))
    if numbers:
        more = replace(more, label="more named speeds", heading="")
    return (*fields, more)


def half_typed_forms(day: OpenDay) -> list[tuple[str, Callable[[Host], None]]]:
    """Return the forms of a day that were half typed when the tool ended."""
    ways = ((day.car_file, edit_car), (day.folder / SESSION_FILE, edit_session))
    return [(name, edit) for path, edit in ways if (name := day.name_of(path)) in day.half_typed.forms]


def form_words(typed: Mapping[str, str]) -> str:
    """State what was typed into a form, field by field."""
    labels = {one.key: one.label for one in (*car_fields({}), *session_fields({}))}
    return ", ".join(f"{labels.get(key, key)} {plain(text) or 'emptied'}" for key, text in typed.items())
