"""A channel is taken by its name, never by its position: `balance.model.channels` alone knows the positions."""

import ast
from pathlib import Path

import pytest

import balance
import tui

ROOTS = [Path(package.__path__[0]) for package in (balance, tui)]
MODULES = sorted(
    path
    for root in ROOTS
    for path in root.rglob("*.py")
    if path.relative_to(root.parent).as_posix() != "balance/model/channels.py" and "files" not in path.parts
)
"""All but the files' rooms, which hold words of tables and no arrays of channels."""
CORE = ("reduce", "compare", "handling", "decide")

CHANNELS_IN = {
    "areas",
    "area_stds",
    "stds",
    "forces",
    "draws",
    "drawn_areas",
    "deviation",
    "deviations",
    "degrees_of_freedom",
    "systematic",
    "correlation",
    "resolution",
    "slope",
    "mean_variance",
    "channels",
    "changes",
    "moved",
    "mine",
    "enough",
    "half",
    "left",
    "source",
}
"""Names of arrays that have the channels along an axis."""
AXLES_IN = {
    "grip",
    "stiffness",
    "weights",
    "drawn_weights",
    "loads",
    "load",
    "growth",
    "added",
    "shares",
    "needed",
    "normals",
}
"""Names of what holds one figure for each axle."""
TABLES_IN = {"change", "low", "high", "std", "value", "resolved", "rounding", "degrees"}
"""Fields of changes and estimates: the last axis of a table of them, or all that there is of one."""
SIZES = {"range", "eye", "zeros", "ones", "empty", "full", "reshape", "standard_normal", "broadcast_to"}
"""Calls that are given the length of an axis."""
NO_CHANNELS = {
    "np.array(_corners(increments.fitted), int).reshape(-1, 4)",  # base, first part, second part and both
}
"""What looks like channels and is none."""


def name_of(node):
    """Give the last name of what is indexed: of `state.areas` it is `areas`."""
    while isinstance(node, ast.Subscript | ast.Call):
        node = node.func if isinstance(node, ast.Call) else node.value
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def positions(index):
    """List the numbers that an index takes or cuts at, axis by axis."""
    axes = index.elts if isinstance(index, ast.Tuple) else [index]
    for axis in axes:
        parts = (axis.lower, axis.upper) if isinstance(axis, ast.Slice) else (axis,)
        for part in parts:
            if isinstance(part, ast.List):
                yield from positions(ast.Tuple(part.elts))
            if isinstance(part, ast.Constant) and type(part.value) is int:
                yield part.value


def by_position(node):
    """Tell whether a subscript takes a channel or an axle by its position."""
    if not isinstance(node, ast.Subscript) or not any(k in range(5) for k in positions(node.slice)):
        return False
    name = name_of(node.value)
    if isinstance(node.value, ast.Call):  # (channels, rows): of a call only the first axis can be meant
        first = node.slice.elts[0] if isinstance(node.slice, ast.Tuple) else node.slice
        return name in CHANNELS_IN and len([*positions(first)]) > 0
    if name in TABLES_IN and not isinstance(node.value, ast.Name):
        last = node.slice.elts[-1] if isinstance(node.slice, ast.Tuple) else node.slice
        row = node.slice is last and 0 in positions(
            last
        )  # the first row of a table, or the one figure there is
        return len([*positions(last)]) > 0 and not row
    if name == "change":
        return True
    return name in CHANNELS_IN | AXLES_IN


def holds_channels(node):
    """Tell whether an expression is an array of channels, or one times something, and not cut to its axles."""
    if isinstance(node, ast.BinOp):
        return holds_channels(node.left) or holds_channels(node.right)
    if isinstance(node, ast.Subscript) and name_of(node.slice) == "AXLES":
        return False
    return isinstance(node, ast.Name | ast.Attribute | ast.Subscript) and name_of(node) in CHANNELS_IN


def unpacked(node):
    """Tell whether an array of channels is taken apart by the order of the channels."""
    if isinstance(node, ast.Call):
        return any(isinstance(one, ast.Starred) and holds_channels(one.value) for one in node.args)
    if not isinstance(node, ast.Assign) or not isinstance(node.targets[0], ast.Tuple):
        return False
    names = [getattr(one, "id", "") for one in node.targets[0].elts]
    value = node.value.generators[0].iter if isinstance(node.value, ast.GeneratorExp) else node.value
    return any("front" in name for name in names) and holds_channels(value)


def sized(node):
    """Tell whether an axis is given the number of the channels as a bare number."""
    if not isinstance(node, ast.Call) or name_of(node.func) not in SIZES:
        return False
    sizes = [size for one in node.args for size in (one.elts if isinstance(one, ast.Tuple) else [one])]
    return any(isinstance(size, ast.Constant) and size.value in (3, 4) for size in sizes)


def named_again(node):
    """Tell whether the channels' names are listed anew, or the axles' numbered."""
    if isinstance(node, ast.Call) and name_of(node.func) == "enumerate" and node.args:
        return texts(node.args[0])[:2] == ["front", "rear"]
    return texts(node)[:3] == ["front", "rear", "drag"]


def texts(node):
    elements = node.elts if isinstance(node, ast.Tuple | ast.List) else []
    return [one.value if isinstance(one, ast.Constant) else None for one in elements]


def faults(source, *, core=True):
    """List what takes channels by position, as it is written."""
    rules = (by_position, unpacked, *((sized, named_again) if core else (named_again,)))
    found = [node for node in ast.walk(ast.parse(source)) if any(rule(node) for rule in rules)]
    return [text for text in map(ast.unparse, found) if text not in NO_CHANNELS]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: ".".join(path.with_suffix("").parts[-3:]))
def test_no_channel_is_taken_by_its_position(path):
    assert not faults(path.read_text("utf-8"), core=any(room in path.parts for room in CORE))


@pytest.mark.parametrize(
    "source",
    [
        "areas[0]",
        "areas[..., 1]",
        "readings.areas[:, 2]",
        "readings.areas[row, 0]",
        "state.forces[3]",
        "day.areas(rows)[0]",
        "deviation[:2]",
        "others.stds[:3]",
        "car.grip[0]",
        "weights[1]",
        "changes.change[:, 3]",
        "front, rear, drag = areas",
        "front, rear, drag = areas * pressure",
        "front, rear, drag, _ = (float(v) for v in state.forces)",
        "df_front, df_rear, drag = (area * pressure for area in cars.areas)",
        "aim.miss(*state.areas)",
        "np.zeros((3, count))",
        "np.full(4, np.nan)",
        "for k in range(3): pass",
        "np.eye(3)",
        "names = ('front', 'rear', 'drag')",
        "for k, axle in enumerate(('front', 'rear')): pass",
    ],
)
def test_the_rule_finds_what_it_looks_for(source):
    assert faults(source)


@pytest.mark.parametrize(
    "source",
    [
        "areas[FRONT]",
        "readings.areas[row, DRAG]",
        "deviation[AXLES]",
        "areas.shape[1]",
        "areas[:, None]",
        "day.areas([row])[:, 0]",
        "changes.change[0]",
        "front, rear = state.areas[AXLES]",
        "front, rear, drag = front_rear_drag(areas)",
        "front, rear = static_axle_weights(mass, share)",
        "np.zeros(len(CHANNELS))",
        "axles = ('front', 'rear')",
    ],
)
def test_the_rule_lets_names_pass(source):
    assert not faults(source)
