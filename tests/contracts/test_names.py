"""A bare name is SI: other units may be named in files, tell and tui only."""

import ast
import re
from pathlib import Path

import pytest

import balance

ROOT = Path(balance.__path__[0])
NOT_SI = re.compile(r"_(kmh|mph|deg|pct|mm|lbf)(_|$)", re.IGNORECASE)
MODULES = sorted(
    path for package in ("reduce", "compare", "handling", "decide") for path in (ROOT / package).rglob("*.py")
)


def identifiers(tree):
    for node in ast.walk(tree):
        for field in ("id", "name", "arg", "attr", "asname"):
            value = getattr(node, field, None)
            if isinstance(value, str):
                yield value


@pytest.mark.parametrize("path", MODULES, ids=lambda path: f"{path.parent.name}.{path.stem}")
def test_no_name_of_the_core_carries_a_unit(path):
    found = {name for name in identifiers(ast.parse(path.read_text("utf-8"))) if NOT_SI.search(name)}
    assert not found


@pytest.mark.parametrize(
    "name", ["speed_kmh", "angle_deg", "speed_mph_std", "share_pct", "height_mm", "lift_lbf"]
)
def test_the_rule_knows_what_it_looks_for(name):
    assert NOT_SI.search(name)
    assert not NOT_SI.search("degrees_of_freedom")
    assert not NOT_SI.search("common_degrees")
