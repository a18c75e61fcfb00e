"""A what-if from short texts: KEY=VALUE, with the keys of what_if.toml and a few shorter ones."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from balance.files.formats.stated_text import read_air
from balance.files.formats.what_if import what_if_fields, what_if_from
from balance.files.formats.what_if_save import what_if_table
from balance.files.toml.document import Document
from balance.files.toml.fields import read_fields
from balance.model.channels import CHANNELS
from balance.model.errors import FileFaults, InputError, UnitError, quoted
from balance.units.stated import uncertainty_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.model.records import Session
    from balance.model.what_ifs import WhatIf

_LABELS = ("on", "off", "family")
_SEVERAL = (*_LABELS, "library")
"""Keys that may be given more than once: what each names is gathered."""
_LOADS = (*CHANNELS, *(f"{channel}_std" for channel in CHANNELS))
_NUMBERS = ("grip_load_exponent", "stiffness_load_exponent")


def what_if_of_options(
    session: Session, texts: Sequence[str], *, base: WhatIf | None = None, name: str | None = None
) -> WhatIf:
    """Make a what-if of KEY=VALUE texts."""
    settings = {s for run in session.runs for s, held in run.settings.items() if held.numeric}
    tree: dict[str, Any] = {} if base is None else what_if_table(session, base)
    stated: dict[str, str] = {}
    given: set[str] = set()
    for text in texts:
        key, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not key or not value:
            raise InputError(f'--set: found {quoted(text)}, expected KEY=VALUE as in wing_angle="9 deg"')
        if key in given and key not in _SEVERAL:
            raise InputError(f"--set {key}: found it twice, expected it once; take one of the two out")
        if key in _LOADS:
            stated[key] = value
        elif key in _SEVERAL:
            several = _value(key, value)
            before = tree.get(key, []) if key in given or key == "library" else []
            tree[key] = [*before, *(several if isinstance(several, list) else [several])]
        elif key in settings:
            tree["settings"] = {**tree.get("settings", {}), key: value}
        else:
            _put(tree, key, _value(key, value))
        given.add(key)
    if stated:
        tree["stated"] = [*tree.get("stated", []), stated]
    tree["name"] = name or tree.get("name") or "this"
    document = Document(file="--set", text="", tree=tree)
    values = read_fields(document, what_if_fields(session))
    if document.faults:
        raise FileFaults(document.in_order)
    return what_if_from(document, values)


def _value(key: str, text: str) -> Any:
    """Read a value: TOML where it looks like it, else plain text."""
    if key == "air" and not text.startswith("{"):
        return _air(text)
    if text[:1] in "[{\"'" or key in _NUMBERS:
        try:
            return tomllib.loads(f"value = {text}")["value"]
        except tomllib.TOMLDecodeError:
            if key in _NUMBERS:
                return text  # with its uncertainty, or no number, which reading finds
            raise InputError(
                f"--set {key}: found {quoted(text)}, expected a value as in what_if.toml"
            ) from None
    if key in _LABELS:
        return [part.strip() for part in text.split(",") if part.strip()]
    return text


def _air(text: str) -> dict[str, str]:
    try:
        air = read_air(text)
    except UnitError as fault:
        raise InputError(f"--set air: {fault}") from None
    units = {"temperature": "K", "pressure": "Pa", "humidity": "%", "altitude": "m", "density": "kg/m^3"}
    texts = {}
    for name, unit in units.items():
        value = getattr(air, name)
        if value is not None:
            factor = 100.0 if unit == "%" else 1.0
            said = uncertainty_text(air.uncertainties.get(name), factor, unit)
            texts[name] = f"{factor * value!r} {unit}{said}"
    return texts


def _put(tree: dict[str, Any], key: str, value: Any) -> None:
    """Put a value where a key with dots says."""
    *tables, last = key.split(".")
    for name in tables:
        inner = tree.setdefault(name, {})
        if not isinstance(inner, dict):
            raise InputError(f"--set {key}: found that {quoted(name)} is no table, expected one")
        tree = inner
    tree[last] = value
