"""Editing a TOML file that a person wrote: its comments, its order and its spacing stay."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.errors import FileFaults, OutsideChange
from balance.files.durable import Stamp, read_stamped, write_atomically
from balance.files.in_memory import text_at_hand
from balance.files.run_sheet import clean_cell
from balance.files.session_file import SESSION, session_from
from balance.files.session_path import SESSION_FILE
from balance.files.toml_document import read_toml
from balance.files.typed_fields import field_called, toml_value, typed_faults
from balance.files.vehicle_file import VEHICLE, read_vehicle

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.toml_fields import Field


def edited_toml(fields: tuple[Field, ...], text: str, changes: Mapping[str, str | None]) -> str:
    r"""Change, add or take out keys of a TOML text.

    Parameters
    ----------
    fields : tuple of Field
        What the file may hold.
    text : str
        The file.
    changes : mapping of str to (str or None)
        What was typed by dotted keys; nothing takes the key out.

    Returns
    -------
    str
        The new file.

    Raises
    ------
    FileFaults
        If something typed will not do.

    Examples
    --------
    >>> print(edited_toml(VEHICLE, '[mass]\ntotal = "1290 kg"  # with driver\n', {"mass.total": "1300 kg"}))
    [mass]
    total = "1300 kg"  # with driver
    <BLANKLINE>
    """
    import tomlkit  # noqa: PLC0415 - needed for edits alone

    faults = typed_faults(fields, {key: typed for key, typed in changes.items() if typed is not None})
    if faults:
        raise FileFaults(faults)
    document = tomlkit.parse(text)
    for key, typed in changes.items():
        *tables, name = key.split(".")
        one = field_called(fields, key)
        here: Any = document
        for depth, table in enumerate(tables):
            if table not in here and typed is not None:
                here[table] = tomlkit.table() if depth == 0 else tomlkit.inline_table()
            here = here.get(table, {}) if hasattr(here, "get") else here[int(table)]
        if typed is None:
            if name in here:
                del here[name]
        elif one.kind == "date":
            here[name] = tomlkit.date(typed)
        else:
            here[name] = toml_value(one, clean_cell(key, typed))
    return tomlkit.dumps(document)


def edit_car(path: Path, changes: Mapping[str, str | None], *, seen: Stamp | None = None) -> None:
    """Change a vehicle.toml on the disk, after the car has been read from the new text.

    Parameters
    ----------
    path : Path
        The file.
    changes : mapping of str to (str or None)
        As for `edited_toml`.
    seen : Stamp, optional
        What the file was when it was shown, from `read_stamped`.

    Raises
    ------
    FileFaults
        If the car could not be read then; nothing is written.
    OutsideChange
        If somebody else has changed the file since it was shown.
    SaveError
        If it cannot be written.
    """
    old = _as_seen(path, seen)
    new = edited_toml(VEHICLE, old, changes)
    read_vehicle(text_at_hand(new, str(path)), shown_as=path.name)
    write_atomically(path, new.encode())


def edit_session(folder: Path, changes: Mapping[str, str | None], *, seen: Stamp | None = None) -> None:
    """Change a session.toml on the disk; as `edit_car`.

    Parameters
    ----------
    folder : Path
        The session's folder.
    changes : mapping of str to (str or None)
        As for `edited_toml`.
    seen : Stamp, optional
        What the file was when it was shown.

    Raises
    ------
    FileFaults
        If the session could not be read then; nothing is written.
    OutsideChange
        If somebody else has changed the file since it was shown.
    SaveError
        If it cannot be written.
    """
    path = folder / SESSION_FILE
    old = _as_seen(path, seen)
    new = edited_toml(SESSION, old, changes)
    document = read_toml(text_at_hand(new, str(path)), shown_as=SESSION_FILE, what="a session.toml")
    session_from(document)
    if document.faults:
        raise FileFaults(document.in_order)
    write_atomically(path, new.encode())


def _as_seen(path: Path, seen: Stamp | None) -> str:
    read_toml(path, shown_as=path.name, what="a file that can be edited")  # every fault in words
    raw, stamp = read_stamped(path)
    text = raw.decode()
    if seen is not None and seen.digest != stamp.digest:
        raise OutsideChange(path.name, mine="", theirs=text)
    return text
