"""Every kind of picture by its name."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.model.errors import UnknownName
from balance.tell.report.pictures.added_load import added_picture
from balance.tell.report.pictures.against_speed import against_speed, share_picture
from balance.tell.report.pictures.parts import parts_picture, repeats_picture, waterfall_picture
from balance.tell.report.wing_section import first_response

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.tell.report.blocks import Missing
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData


def _of_answer(kind: str) -> Callable[[ReportData], Picture | Missing]:
    return lambda report: against_speed(report, report.answer, kind)


KINDS: Mapping[str, Callable[[ReportData], Picture | Missing]] = MappingProxyType(
    {
        "loads": _of_answer("axle_loads"),
        "share": share_picture,
        "surplus": _of_answer("grip_surplus"),
        "shift": _of_answer("neutral_steer_shift"),
        "drag": _of_answer("drag"),
        "added": added_picture,
        "parts": parts_picture,
        "way": waterfall_picture,
        "wing": first_response,
        "repeats": repeats_picture,
    }
)
"""Kinds of picture, and how each is drawn."""


def draw_kind(report: ReportData, kind: str) -> Picture | Missing:
    """Draw a picture by the name of its kind."""
    if kind not in KINDS:
        raise UnknownName("kind of chart", kind, KINDS)
    return KINDS[kind](report)
