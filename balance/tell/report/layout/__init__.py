"""How pages look: templates and style sheets, and how they are filled in."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from balance.tell.report.plain_text import undirected

if TYPE_CHECKING:
    from jinja2 import Environment, Template

_UNITS = re.compile(r"(?<=[0-9]) (?=(?:%|N|lbf|km/h|mph|mm|in|kg|lb|kW|hp|points|LIFT|downforce)(?![\w]))")


def template(name: str) -> Template:
    """Return a template by its name."""
    return _environment().get_template(name)


@cache
def _environment() -> Environment:
    from importlib.resources import files  # noqa: PLC0415 - only where a page is written

    from jinja2 import Environment, FunctionLoader, StrictUndefined  # noqa: PLC0415 - only where a page is written

    return Environment(
        loader=FunctionLoader(lambda name: (files(__name__) / name).read_text(encoding="utf-8")),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
        finalize=_fit_to_print,
    )


def _fit_to_print(value: object) -> object:
    """Keep a figure and its unit in one line, and drop marks that turn the direction of writing; not in markup."""
    return _UNITS.sub("\N{NO-BREAK SPACE}", undirected(value)) if type(value) is str else value
