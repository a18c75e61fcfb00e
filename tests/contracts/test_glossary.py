"""The vocabulary is whole: no gaps, no dangling references, no name with two meanings."""

import re
from collections import Counter
from dataclasses import fields

import pint
import pytest

from balance.compare.classes import PartClass
from balance.decide.day.verdict import VerdictWord
from balance.model.errors import UnknownName
from balance.model.glossary import Term, explain, names_of, terms
from balance.model.quantities import quantities
from balance.tell.parts.effects import DEEDS, effect

VERDICTS = {
    "in balance": ["in balance"],
    "rear overpowers front": ["understeer", "more understeer than in slow corners"],
    "front overpowers rear": ["OVERSTEER", "MORE OVERSTEER than in slow corners"],
    "at the edge": ["at the limit", "OVERSTEER?", "understeer?"],
    "cannot tell": ["cannot tell"],
    "axle off the ground": ["AXLE UNLOADED", "FRONT UNLOADED", "REAR UNLOADED"],
    "too little load to matter": ["small load"],
}
"""Each verdict by its word in files and JSON, which stays, and the words that are printed."""
OPTIONAL = {"symbol", "aliases", "see"}
WORDLESS_UNITS = {"none", "that of its quantity"}


@pytest.mark.parametrize("term", terms().values(), ids=lambda term: term.key)
def test_a_term_is_whole(term):
    missing = [f.name for f in fields(Term) if f.name not in OPTIONAL and not getattr(term, f.name).strip()]
    assert missing == []
    assert term.short.endswith(".")
    assert "\n" not in term.short


@pytest.mark.parametrize("term", terms().values(), ids=lambda term: term.key)
def test_a_term_refers_to_others_that_exist(term):
    assert set(term.see) <= set(terms()) - {term.key}


def test_every_unit_is_one_that_the_unit_library_knows():
    registry = pint.UnitRegistry()
    for unit in {term.unit for term in terms().values()} - WORDLESS_UNITS:
        registry.parse_units(unit)


def test_no_name_has_two_meanings():
    counted = Counter(name for term in terms().values() for name in names_of(term))
    assert [name for name, times in counted.items() if times > 1] == []


def test_every_verdict_is_here():
    assert {*VerdictWord} == {*VERDICTS} - {"too little load to matter"}


@pytest.mark.parametrize(
    ("word", "printed"), [(word, printed) for word, several in VERDICTS.items() for printed in several]
)
def test_each_verdict_is_explained_under_the_word_that_is_printed_and_that_of_the_records(word, printed):
    term = explain(printed)
    assert term.key == word.replace(" ", "_")
    assert explain(word) == term
    folded = {" ".join(name.casefold().replace("-", " ").split()) for name in (printed, word)}
    assert folded <= {*names_of(term)}


@pytest.mark.parametrize("word", PartClass)
def test_each_effect_of_a_part_is_explained_under_its_mark_and_under_the_word_of_the_records(word):
    about = {
        PartClass.LESS_THAN_SHOWN: "resolved",  # "within noise" is of every figure, not of parts alone
        PartClass.REFIT_ASSUMED: "untouched_repeats",
        PartClass.REPEAT: "repeat",
    }
    assert explain(DEEDS[word].column).key == about.get(word, "part_class")
    assert explain(word).key in ("part_class", about.get(word))
    for axle in ("front", "rear") if DEEDS[word].column[:3] in ("+DF", "−DF") else ():
        assert explain(effect(word, axle)).key == about.get(word, "part_class")


@pytest.mark.parametrize("quantity", quantities().values(), ids=lambda quantity: quantity.key)
def test_each_quantity_is_explained_by_its_key_head_and_title(quantity):
    assert quantity.term in terms()
    for text in (quantity.key, f"{quantity.key}_std", quantity.head, quantity.title):
        assert explain(text)
    assert explain(quantity.key).key == quantity.term


@pytest.mark.parametrize("text", ["aero_balance", "Aero Balance", "AERO-BALANCE", " front  share "])
def test_a_term_is_found_however_it_is_typed(text):
    assert explain(text).key == "aero_balance"


def test_an_unknown_term_suggests_a_near_one():
    with pytest.raises(UnknownName, match="did you mean 'aero balance'"):
        explain("aero balence")


@pytest.mark.parametrize("word", ["margin of safety", "sure", "understeers", "oversteers"])
def test_words_that_promise_too_much_are_not_used(word):
    for term in terms().values():
        assert not re.search(rf"\b{word}\b", f"{term.short} {term.long}", re.IGNORECASE)
