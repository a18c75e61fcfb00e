"""Docstrings are contracts where numbers are worked out: a unit on every entry, an equation, a source; else a line."""

import ast
import importlib
import inspect
import pkgutil
import re
import textwrap
from pathlib import Path

import pint
import pytest
from numpydoc.docscrape import ClassDoc, FunctionDoc

import balance

ALWAYS = ("reduce", "compare", "handling")
CARRIES_ARRAYS = re.compile(r"\b(NDArray|ArrayLike|Array|\w*Draws)\b")
"""What asks for a contract in decide: arrays, or draws, in the annotations of a signature."""
UNIT_AT_THE_END = re.compile(r"\[([^\[\]]+)\]\.?$")
FIGURE = re.compile(r"\d|``[^`]*[-=/*^<>+][^`]*``")
ANOTHER_OF_OURS = re.compile(r"(?<!`)`[\w.]+`(?!`)")
UNITS = pint.UnitRegistry()
SHOWN = {getattr(balance, name) for name in balance.__all__}


def public(is_one):
    for package in (*ALWAYS, "decide"):
        folder = Path(balance.__path__[0]) / package
        for part in pkgutil.walk_packages([str(folder)], f"balance.{package}."):
            module = importlib.import_module(part.name)
            for name, found in inspect.getmembers(module, is_one):
                if found.__module__ == module.__name__ and not name.startswith("_"):
                    yield pytest.param(found, id=f"{part.name.removeprefix('balance.')}.{name}")


def owes_a_contract(function):
    room = function.__module__.split(".")[1]
    annotated = " ".join(map(str, function.__annotations__.values()))
    return room in ALWAYS or function in SHOWN or bool(CARRIES_ARRAYS.search(annotated))


FUNCTIONS = list(public(inspect.isfunction))
CONTRACTS = [one for one in FUNCTIONS if owes_a_contract(one.values[0])]
every_function = pytest.mark.parametrize("function", FUNCTIONS)
every_contract = pytest.mark.parametrize("function", CONTRACTS)


def test_there_are_functions_to_read():
    assert len(FUNCTIONS) > 150
    assert len(CONTRACTS) > 100
    assert len([one for one in CONTRACTS if one.id.startswith("decide.")]) > 30


def test_what_asks_for_a_contract_is_told_from_what_does_not():
    owing, read = ({one.id for one in some} for some in (CONTRACTS, FUNCTIONS))
    assert "decide.library.pooled.pool_effects" in owing  # arrays
    assert "decide.day.assessment.assess" in owing  # shown by `import balance`
    assert "decide.day.best_balanced.nearest_to_balance" in read - owing


@every_contract
def test_every_parameter_is_described(function):
    described = {
        name.strip() for entry in FunctionDoc(function)["Parameters"] for name in entry.name.split(",")
    }
    assert described == set(inspect.signature(function).parameters)


@every_contract
def test_returns_are_described(function):
    assert FunctionDoc(function)["Returns"] or FunctionDoc(function)["Yields"]


@every_contract
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


@every_contract
def test_notes_are_there_and_a_figure_or_a_formula_has_its_source(function):
    """Its own reference, or the function of ours that it is taken from."""
    docs = FunctionDoc(function)
    notes = " ".join(docs["Notes"])
    assert notes
    assert any(docs["References"]) or ANOTHER_OF_OURS.search(notes) or not FIGURE.search(notes)


@every_contract
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


@pytest.mark.parametrize("name", [n for n in balance.__all__ if inspect.isfunction(getattr(balance, n))])
def test_what_the_package_shows_says_what_it_takes_and_gives(name):
    function = getattr(balance, name)
    docs = FunctionDoc(function)
    described = {each.strip() for entry in docs["Parameters"] for each in entry.name.split(",")}
    assert described == set(inspect.signature(function).parameters)
    assert docs["Returns"]


@pytest.mark.parametrize("owner", list(public(inspect.isclass)))
def test_attributes_that_are_described_are_there_and_their_units_are_units(owner):
    for entry in ClassDoc(owner, config={"show_class_members": False})["Attributes"]:
        if not entry.desc:
            continue
        for name in entry.name.split(","):
            assert name.strip() in {*owner.__annotations__, *vars(owner)}
        for unit in re.findall(r"\[([^\[\]]+)\]", " ".join(entry.desc)):
            UNITS.parse_expression(unit)
