"""library.toml: what a library is called, and the folders of the days that belong to it; and where a library stands."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import write_atomically
from balance.files.toml.document import read_toml
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import Field, read_fields
from balance.files.toml.tree import written_toml
from balance.model.errors import FileFaults

if TYPE_CHECKING:
    from collections.abc import Sequence

LIBRARY = (
    Field("name", "text", "Parts on all cars"),
    Field("days", "texts", '["/home/me/my_car/spring_day"]'),
)
_WHAT = "a library's library.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class LibraryFile:
    """What library.toml says: a name, and folders as they are written there."""

    name: str = ""
    days: tuple[str, ...] = ()
    text: str = ""


def read_library_file(folder: Path) -> LibraryFile:
    """Read the library.toml of a folder, or tell every fault of it."""
    path = folder / LIBRARY_FILE
    if not path.is_file() and not path.is_symlink():
        raise FileFaults.of(
            str(folder), "no library", "a folder with a library.toml", "axletrim library add DAY begins one"
        )
    document = read_toml(path, shown_as=str(path), what=_WHAT, example='name = "Parts on all cars"')
    values = read_fields(document, LIBRARY)
    if document.faults:
        raise FileFaults(document.in_order)
    return LibraryFile(
        name=values["name"] or "", days=tuple(dict.fromkeys(values["days"] or ())), text=document.text
    )


def write_days(folder: Path, file: LibraryFile, days: Sequence[str]) -> None:
    """Write which days belong to a library; no other byte of a file that is there changes."""
    if file.text:
        text = edited_toml(LIBRARY, file.text, {"days": tuple(days)})
    else:
        text = written_toml({"name": file.name or folder.name, "days": list(days)})
    write_atomically(folder / LIBRARY_FILE, text.encode())


LIBRARY_FILE, PARTS_FILE, DAYS, INDEX_FILE = "library.toml", "parts.toml", "days", "index.sqlite"
VARIABLE = "AXLETRIM_LIBRARY"
"""The variable of the environment that names a library."""


def library_folder(given: str | None) -> Path:
    """Return the folder of the library that was named, of the environment's, or of the user's own."""
    named = given or os.environ.get(VARIABLE)
    if named:
        return Path(os.path.expanduser(named)).absolute()  # noqa: PTH111 - Path raises where nobody has the name
    from platformdirs import user_data_path  # noqa: PLC0415 - not needed where a library is named

    return Path(user_data_path("axletrim")) / "library"
