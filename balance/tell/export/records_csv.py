"""Records as text: JSON in one object, or CSV with one row a run."""

from __future__ import annotations

import csv
import io
import json
from itertools import islice
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_ENDS = ("low", "high")
_NAMED_BY = 2
"""Keys at the head of a row that name it: a run and its configuration, or its baseline."""


def to_json(record: Mapping[str, Any]) -> str:
    """Write a record as JSON, refusing any number that is not finite."""
    return json.dumps(record, indent=1, allow_nan=False)


def table_csv(record: Mapping[str, Any], rows: str) -> str:
    """Write the rows of a record as CSV: what names a row, then the speed and density at which its forces are stated."""
    stated = {f"stated_{key}": record[key] for key in ("speed_m_s", "air_density_kg_m3")}
    return rows_csv([{**dict(islice(row.items(), _NAMED_BY)), **stated, **row} for row in record[rows]])


def rows_csv(rows: Sequence[Mapping[str, Any]]) -> str:
    """Write records as CSV: SI, the unit in the key, nested values spread over columns.

    A text that a spreadsheet would take for a formula (first character ``=``, ``+``, ``-`` or ``@``) gets an
    apostrophe before it.

    Examples
    --------
    >>> print(rows_csv([{"run": "=1", "interval": [1.0, None], "notes": ["a", "b"]}]), end="")
    run,interval_low,interval_high,notes
    '=1,1.0,,a; b
    """
    flat = [_flat(row) for row in rows]
    header = list(dict.fromkeys(key for row in flat for key in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, header, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(flat)
    return out.getvalue()


def _flat(record: Mapping[str, Any], before: str = "") -> dict[str, Any]:
    """Spread nested records over columns named after their place."""
    row: dict[str, Any] = {}
    for key, value in record.items():
        name = f"{before}{key}"
        if isinstance(value, dict):
            row |= _flat(value, f"{name}.")
        elif key.endswith(("interval", "interval_m_s")):
            row |= {f"{name}_{end}": v for end, v in zip(_ENDS, value or (None, None), strict=True)}
        elif isinstance(value, list):
            row[name] = _safe("; ".join(map(str, value)))
        else:
            row[name] = _safe(value) if isinstance(value, str) else value
    return row


def _safe(text: str) -> str:
    """Keep a spreadsheet from taking a text for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
