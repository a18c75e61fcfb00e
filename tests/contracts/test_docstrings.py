"""Docstrings of the core are contracts: a unit on every entry, an equation, a source."""

import ast
import importlib
import inspect
import pkgutil
import re
import textwrap
from pathlib import Path

import pint
import pytest
from numpydoc.docscrape import FunctionDoc

import balance

UNIT_AT_THE_END = re.compile(r"\[([^\[\]]+)\]\.?$")
UNITS = pint.UnitRegistry()


def public_functions():
    for package in ("reduce", "compare", "handling", "decide"):
        folder = Path(balance.__path__[0]) / package
        for part in pkgutil.walk_packages([str(folder)], f"balance.{package}."):
            module = importlib.import_module(part.name)
            for name, function in inspect.getmembers(module, inspect.isfunction):
                if function.__module__ == module.__name__ and not name.startswith("_"):
                    yield pytest.param(function, id=f"{part.name.removeprefix('balance.')}.{name}")


FUNCTIONS = list(public_functions())
every_function = pytest.mark.parametrize("function", FUNCTIONS)


def test_there_are_functions_to_read():
    assert len(FUNCTIONS) > 150


@every_function
def test_every_parameter_is_described(function):
    described = {
        name.strip() for entry in FunctionDoc(function)["Parameters"] for name in entry.name.split(",")
    }
    assert described == set(inspect.signature(function).parameters)


@every_function
def test_returns_are_described(function):
    assert FunctionDoc(function)["Returns"] or FunctionDoc(function)["Yields"]


@every_function
def test_every_entry_ends_with_a_unit(function):
    docs = FunctionDoc(function)
    for entry in (*docs["Parameters"], *docs["Returns"], *docs["Yields"]):
        found = UNIT_AT_THE_END.search(" ".join(entry.desc).strip())
        assert found, f"{entry.name or entry.type}: no unit at the end of its description"
        UNITS.parse_expression(found[1])  # raises where there is no such unit


@every_function
def test_first_line_is_an_order_without_symbols(function):
    (first,) = FunctionDoc(function)["Summary"][:1]
    assert first.endswith((".", "?"))
    assert first[0].isupper()
    assert not set("=²³ρτν[]") & set(first)


@every_function
def test_notes_and_references_are_there(function):
    docs = FunctionDoc(function)
    assert any(docs["Notes"])
    assert any(docs["References"])


@every_function
def test_what_it_refuses_is_said(function):
    body = ast.parse(textwrap.dedent(inspect.getsource(function)))
    refuses = any(
        isinstance(node, ast.Raise)
        and isinstance(node.exc, ast.Call)
        and getattr(node.exc.func, "id", "") == "DomainError"
        for node in ast.walk(body)
    )
    said = any(entry.type == "DomainError" for entry in FunctionDoc(function)["Raises"])
    assert said or not refuses
