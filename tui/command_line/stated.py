"""Options that state a change, a target or the air, turned into figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.what_ifs import StatedChange


def stated_of(options: Mapping[str, str | None], air_density: float) -> tuple[StatedChange, ...]:
    """Read the options --front-change, --rear-change, --drag-change and their uncertainties."""
    from balance.files.formats.stated_text import read_stated
    from balance.model.channels import CHANNELS
    from balance.model.errors import InputError, UnitError

    texts: dict[str, str] = {}
    for axle in CHANNELS:
        for key, option in ((axle, f"{axle}_change"), (f"{axle}_std", f"{axle}_change_std")):
            text = options.get(option)
            if text is not None:
                texts[key] = text
    for key in [key for key in texts if not key.endswith("_std")]:
        one = {name: text for name, text in texts.items() if name in (key, f"{key}_std")}
        try:
            read_stated(one, air_density=air_density)
        except UnitError as fault:
            raise InputError(f"--{key}-change: {fault}") from None
    try:
        return (read_stated(texts, air_density=air_density),) if texts else ()
    except UnitError as fault:
        raise InputError(f"--front-change, --rear-change, --drag-change: {fault}") from None


def offset_of(text: str | None) -> float | None:
    """Read --target-offset."""
    from balance.files.formats.stated_text import read_offset
    from balance.model.errors import InputError, UnitError

    try:
        return None if text is None else read_offset(text)
    except UnitError as fault:
        raise InputError(f"--target-offset: {fault}") from None


def surplus_of(text: str | None) -> float | None:
    """Read --target-surplus."""
    from balance.model.errors import InputError, UnitError
    from balance.units.stated import parse_chosen

    try:
        return None if text is None else parse_chosen(text, "fraction")
    except UnitError as fault:
        raise InputError(f"--target-surplus: {fault}") from None


def air_density_of(text: str | None) -> tuple[float | None, list[str]]:
    """Read --air; give the density, and what was assumed for it."""
    from balance.files.formats.stated_text import read_air
    from balance.model.errors import DomainError, InputError, UnitError
    from balance.reduce.standard_atmosphere import density_of

    if text is None:
        return None, []
    try:
        air = read_air(text)
        density, assumed = density_of(air)
    except (UnitError, DomainError) as fault:
        raise InputError(f"--air: {fault}") from None
    return density, [f"air: {one} assumed" for one in assumed]


def labels_of(text: str | None) -> tuple[str, ...]:
    """Read run labels between commas."""
    return () if text is None else tuple(part.strip() for part in text.split(",") if part.strip())
