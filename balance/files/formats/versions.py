"""The format of session.toml and vehicle.toml: which one a file has, and the refusal of a newer one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.toml.fields import Field, described
from balance.model.columns import FORMAT
from balance.model.errors import FileFaults, UnitError

if TYPE_CHECKING:
    from balance.files.toml.document import Document

KEY = "format"
RAISE = f"write {KEY} = {FORMAT} at the head of session.toml"


def _read_format(_: Field, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= FORMAT:
        raise UnitError(
            described(value), " or ".join(map(str, range(1, FORMAT + 1))), f"write {KEY} = {FORMAT}"
        )
    return value


FORMAT_FIELD = Field(KEY, "format", str(FORMAT), read=_read_format)
"""The first key of a file; no form asks for it."""


def format_of(document: Document) -> int:
    """Return the format of a file, before anything else of it is read."""
    stated = document.tree.get(KEY, 1)
    if isinstance(stated, bool) or not isinstance(stated, int):
        return 1
    if stated > FORMAT:
        document.faults.clear()
        document.fault(
            (KEY,),
            f"{described(stated)}, which is newer than this axletrim",
            f"at most {FORMAT}",
            "it was written by a newer axletrim: install that one, and open it there; nothing of it was read",
        )
        raise FileFaults(document.faults)
    return max(stated, 1)
