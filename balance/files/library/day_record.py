"""A day of a library as its file: effects, covariance and checksums as JSON, every fault told."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any

from balance.model.channels import WITH_TOTAL
from balance.model.errors import Fault, FileFaults, quoted
from balance.model.libraries import (
    FACT_UNITS,
    CarFacts,
    CarFigures,
    DayEffects,
    KeptColumn,
    KeptDay,
    KeptEffect,
    SaidChange,
)

FORMAT = "axletrim-library-day/1"
_CHANNELS = len(WITH_TOTAL)
RECORD_MEND = "remove the file: the day is read again from its own files"
_NUMBER = "a finite number"


def day_text(day: KeptDay) -> str:
    """Write a day as its file."""
    effects = day.effects
    tree = {
        "format": FORMAT,
        "id": day.id,
        "folder": day.folder,
        "title": day.title,
        "date": day.date,
        "car": day.car,
        "car_file": day.car_file,
        "body": day.body,
        **{f"{key}_{unit}": getattr(day.facts, key) for key, unit in FACT_UNITS.items()},
        "mountings": [list(one) for one in day.facts.mountings],
        "mass_kg": day.figures.mass,
        "wheelbase_m": day.figures.wheelbase,
        "driven": day.figures.driven,
        "facility": day.facility,
        "facility_name": day.facility_name,
        "floor": day.floor,
        "speed_m_s": day.speed,
        "air_density_kg_m3": day.air_density,
        "runs": day.runs,
        "files": dict(day.files),
        "variance_m4": _written(effects.variance),
        "repeats_variance_m4": _written(effects.repeats_variance),
        "repeats_degrees": effects.repeats_degrees,
        "effects": [effect_tree(one) for one in effects.effects],
    }
    return json.dumps(tree, indent=1, allow_nan=False, ensure_ascii=False) + "\n"


def effect_tree(effect: KeptEffect) -> dict[str, Any]:
    """Return an effect as plain values; null where a figure is unknown."""
    tree = {
        "changes": [
            {"setting": one.setting, "value": one.value, "before": one.before} for one in effect.changes
        ],
        "effect_m2": _written(effect.effect),
        "covariance_m4": [_written(row) for row in effect.covariance],
        "degrees_of_freedom": _written(effect.degrees_of_freedom),
        "refit_assumed": effect.refit_assumed,
        "with": [list(one) for one in effect.fitted_with],
        "runs": list(effect.runs),
        "baseline_runs": list(effect.baseline_runs),
        "suspect": list(effect.suspect),
        "comparisons": effect.comparisons,
    }
    if effect.columns:
        tree["columns"] = [
            {
                "name": one.name,
                "unit": one.unit,
                "scales": one.scales,
                "change": one.change,
                "variance": one.variance if math.isfinite(one.variance) else None,
                "degrees_of_freedom": one.degrees_of_freedom
                if math.isfinite(one.degrees_of_freedom)
                else None,
                "dynamic_pressure_Pa": one.pressure,
            }
            for one in effect.columns
        ]
    return tree


def read_day(raw: bytes, *, shown_as: str) -> KeptDay:
    """Read a day from its file, or tell every fault."""
    try:
        tree = json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        raise FileFaults.of(
            shown_as, "text that is not JSON", "a day as a library keeps it", RECORD_MEND, line=line
        ) from None
    reader = _Reader(shown_as)
    if not isinstance(tree, dict) or tree.get("format") != FORMAT:
        found = quoted(str(tree.get("format"))) if isinstance(tree, dict) else "another value"
        raise FileFaults.of(shown_as, found, f"format {quoted(FORMAT)}", RECORD_MEND)
    texts = {
        key: reader.text(tree, key)
        for key in ("id", "folder", "title", "date", "car", "car_file", "facility", "floor")
    }
    # days that were kept before facilities had names have none
    texts["facility_name"] = reader.text(tree, "facility_name") if "facility_name" in tree else ""
    speed, density = (reader.number(tree, key) for key in ("speed_m_s", "air_density_kg_m3"))
    runs = reader.count(tree, "runs")
    files = tree.get("files")
    if not isinstance(files, dict) or not all(isinstance(one, str) for one in files.values()):
        reader.fault("files", files, "a checksum for each file")
        files = {}
    if "body" not in tree or "mass_kg" not in tree:
        # of a release that did not ask for it: an unknown checksum has the day read again
        files[texts["car_file"]] = ""
    effects = DayEffects(
        variance=reader.figures(tree, "variance_m4"),
        repeats_variance=reader.figures(tree, "repeats_variance_m4"),
        repeats_degrees=reader.number(tree, "repeats_degrees"),
        effects=tuple(
            reader.effect(one, f"effects.{k}.") for k, one in enumerate(reader.several(tree, "effects"))
        ),
    )
    body = reader.text(tree, "body") if "body" in tree else ""
    facts, figures = reader.facts(tree), reader.car_figures(tree)
    if reader.faults:
        raise FileFaults(reader.faults)
    return KeptDay(
        **texts, speed=speed, air_density=density, runs=runs, files=tuple(files.items()), effects=effects,
        body=body, facts=facts, figures=figures,
    )  # fmt: skip


def effect_of(tree: Any, *, shown_as: str) -> KeptEffect:
    """Read one effect from plain values, or tell every fault."""
    reader = _Reader(shown_as)
    effect = reader.effect(tree, "")
    if reader.faults:
        raise FileFaults(reader.faults)
    return effect


class _Reader:
    """Takes values out of a tree, and gathers what is wrong with them."""

    def __init__(self, file: str) -> None:
        self.file, self.faults = Path(file).as_posix(), list[Fault]()

    def fault(self, place: str, found: Any, expected: str) -> None:
        """Add a fault at a place of the tree."""
        said = "nothing" if found is None else quoted(str(found))
        self.faults.append(
            Fault(file=self.file, column=place, found=said, expected=expected, mend=RECORD_MEND)
        )

    def text(self, tree: dict[str, Any], key: str, place: str = "") -> str:
        """Take a text."""
        value = tree.get(key)
        if not isinstance(value, str):
            self.fault(place + key, value, "a text")
            return ""
        return value

    def number(self, tree: dict[str, Any], key: str, place: str = "") -> float:
        """Take a finite number."""
        value = tree.get(key)
        if not _is_number(value):
            self.fault(place + key, value, _NUMBER)
            return 0.0
        return float(value)  # type: ignore[arg-type]

    def count(self, tree: dict[str, Any], key: str, place: str = "") -> int:
        """Take how many of something there are."""
        value = tree.get(key)
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            self.fault(place + key, value, "a whole number from 0 up")
            return 0
        return value

    def figures(self, tree: dict[str, Any], key: str, place: str = "") -> tuple[float, ...]:
        """Take a figure for each channel and the total; null where unknown."""
        return self._row(tree.get(key), place + key)

    def _row(self, value: Any, place: str, *, known: bool = False) -> tuple[float, ...]:
        there = isinstance(value, list) and len(value) == _CHANNELS
        if not there or not all(_is_number(one) or (one is None and not known) for one in value):
            self.fault(place, value, f"{_CHANNELS} numbers")
            return (math.nan,) * _CHANNELS
        return tuple(math.nan if one is None else float(one) for one in value)

    def facts(self, tree: dict[str, Any]) -> CarFacts:
        """Take what is known of the car; whatever is absent is not stated."""
        keys = {key: f"{key}_{unit}" for key, unit in FACT_UNITS.items()}
        figures = {key: self.number(tree, name) for key, name in keys.items() if tree.get(name) is not None}
        mountings = self.several(tree, "mountings") if "mountings" in tree else []
        if not all(
            isinstance(one, list)
            and len(one) == 3
            and isinstance(one[0], str)
            and all(map(_is_number, one[1:]))
            for one in mountings
        ):
            self.fault("mountings", mountings, "a setting with two numbers each")
            mountings = []
        return CarFacts(**figures, mountings=tuple((name, float(x), float(z)) for name, x, z in mountings))

    def car_figures(self, tree: dict[str, Any]) -> CarFigures:
        """Take what tells the car from another; days that were kept before have none."""
        mass, wheelbase = (
            None if tree.get(key) is None else self.number(tree, key) for key in ("mass_kg", "wheelbase_m")
        )
        driven = self.text(tree, "driven") if "driven" in tree else ""
        return CarFigures(mass=mass, wheelbase=wheelbase, driven=driven)

    def several(self, tree: dict[str, Any], key: str, place: str = "") -> list[Any]:
        """Take a list."""
        value = tree.get(key)
        if not isinstance(value, list):
            self.fault(place + key, value, "a list")
            return []
        return value

    def texts(self, tree: dict[str, Any], key: str, place: str) -> tuple[str, ...]:
        """Take a list of texts."""
        value = self.several(tree, key, place)
        if not all(isinstance(one, str) for one in value):
            self.fault(place + key, value, "texts")
            return ()
        return tuple(value)

    def effect(self, tree: Any, place: str) -> KeptEffect:
        """Take one effect."""
        if not isinstance(tree, dict):
            self.fault(place.rstrip("."), tree, "an effect")
            tree = {}
        changes = []
        for k, one in enumerate(self.several(tree, "changes", place)):
            if not isinstance(one, dict):
                self.fault(f"{place}changes.{k}", one, "a setting that was changed")
                continue
            said = (self.text(one, key, f"{place}changes.{k}.") for key in ("setting", "value", "before"))
            changes.append(SaidChange(*said))
        rows = self.several(tree, "covariance_m4", place)
        if len(rows) != _CHANNELS:
            self.fault(f"{place}covariance_m4", rows, f"{_CHANNELS} rows")
            rows = []
        fitted = self.several(tree, "with", place)
        if not all(
            isinstance(one, list) and len(one) == 2 and all(isinstance(text, str) for text in one)
            for one in fitted
        ):
            self.fault(f"{place}with", fitted, "pairs of setting and value")
            fitted = []
        return KeptEffect(
            changes=tuple(changes),
            effect=self._row(tree.get("effect_m2"), f"{place}effect_m2", known=True),
            covariance=tuple(self._row(row, f"{place}covariance_m4.{k}") for k, row in enumerate(rows)),
            degrees_of_freedom=self.figures(tree, "degrees_of_freedom", place),
            refit_assumed=tree.get("refit_assumed") is True,
            fitted_with=tuple((name, value) for name, value in fitted),
            runs=self.texts(tree, "runs", place),
            baseline_runs=self.texts(tree, "baseline_runs", place),
            suspect=self.texts(tree, "suspect", place),
            comparisons=self.count(tree, "comparisons", place),
            columns=self.columns(tree, place),
        )

    def columns(self, tree: dict[str, Any], place: str) -> tuple[KeptColumn, ...]:
        """Take what a part did to compared columns; days that were kept before have none."""
        found = []
        for k, one in enumerate(self.several(tree, "columns", place) if "columns" in tree else []):
            here = f"{place}columns.{k}."
            if not isinstance(one, dict):
                self.fault(here.rstrip("."), one, "a column that was compared")
                continue
            known = [
                math.nan if one.get(key) is None else self.number(one, key, here)
                for key in ("variance", "degrees_of_freedom")
            ]
            found.append(
                KeptColumn(
                    name=self.text(one, "name", here),
                    unit=self.text(one, "unit", here),
                    scales=one.get("scales") is True,
                    change=self.number(one, "change", here),
                    variance=known[0],
                    degrees_of_freedom=known[1],
                    pressure=self.number(one, "dynamic_pressure_Pa", here),
                )
            )
        return tuple(found)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= sys.float_info.max


def _written(figures: tuple[float, ...]) -> list[float | None]:
    return [one if math.isfinite(one) else None for one in figures]
