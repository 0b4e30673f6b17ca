"""The docstrings of the physics: every public function is a card, and its example runs."""

import ast
import contextlib
import doctest
import io
from importlib import import_module
from pathlib import Path

import pytest

from strandline.knowledge.science_sources import science_sources
from tests.house.card_rules import MACHINERY, card_findings, key_findings, physics
from tests.house.tree import plant, repository

CARD = '''
def heat(temp_c: float) -> float:
    """Heat of a thing.

    Equation: temp_c times two, which
        goes on here.
    Source: somebody-1990, eq. 3 (two-fold form); another-body-1991
    Range: any
    Doubt: none

    >>> heat(2.0)
    4.0
    """
    return 2.0 * temp_c
'''
MODULES = sorted(file.module for file in physics(repository()) if not file.path.endswith("__init__.py"))


def test_every_function_is_a_card() -> None:
    """Equation or rule, source, range, doubt and one example."""
    found = card_findings(repository())
    assert not found, "\n".join(["", *found])


@pytest.mark.parametrize(
    "gone",
    ["Heat of a thing.", "Equation:", "Source:", "Range: any", "Doubt: none", ">>>"],
)
def test_the_card_rule_can_fail(tmp_path: Path, gone: str) -> None:
    """Each part that is not there is found; without any docstring all of them."""
    assert card_findings(plant(tmp_path / "good", physics__a=CARD)) == []
    assert len(card_findings(plant(tmp_path / "bad", physics__a=CARD.replace(gone, "")))) == 1
    assert len(card_findings(plant(tmp_path / "none", physics__a="def heat():\n    return 1\n"))) == 6


def test_a_function_that_raises_says_so(tmp_path: Path) -> None:
    """What is refused stands in the docstring."""
    raising = CARD.replace("return 2.0", "if temp_c > 9:\n        raise ValueError\n    return 2.0")
    assert len(card_findings(plant(tmp_path, physics__a=raising))) == 1


def test_machinery_needs_no_cards_and_is_there() -> None:
    """What computes with arrays gives its reason, its equations at its head, and uses numpy or numba."""
    there = {file.module.rpartition(".")[2]: file for file in physics(repository())}
    assert sorted(MACHINERY.keys() - there.keys()) == []
    assert [name for name in MACHINERY if not ast.get_docstring(there[name].syntax)] == []
    arrays = ("import numpy", "numba import", "import numba", "LANES")
    assert [name for name in MACHINERY if not any(word in there[name].text for word in arrays)] == []


def test_a_rule_is_as_good_as_an_equation(tmp_path: Path) -> None:
    """Not everything is an equation; private and compiled functions and other rooms need no card."""
    others = "import numba\n@numba.njit(cache=True)\ndef f(): ...\ndef _g(): ...\n"
    ruled = CARD.replace("Equation:", "Rule:")
    assert card_findings(plant(tmp_path, physics__a=ruled, physics__b=others, care__c="def h(): ...\n")) == []


def test_every_source_has_its_entry() -> None:
    """What a docstring names can be looked up."""
    found = key_findings(repository(), science_sources())
    assert not found, "\n".join(["", *found])


def test_the_source_rule_can_fail(tmp_path: Path) -> None:
    """Keys at the head of a piece and anywhere with a year are looked up; words in brackets are none."""
    tree = plant(tmp_path / "good", physics__a=CARD)
    assert key_findings(tree, {"somebody-1990", "another-body-1991"}) == []
    assert len(key_findings(tree, {"somebody-1990"})) == 1
    assert len(key_findings(tree, set())) == 2
    none = CARD.replace("somebody-1990, eq. 3 (two-fold form); another-body-1991", "SOURCE")
    for number, (source, findings) in enumerate(
        [
            ("a book", 1),
            ("a book (two-fold form)", 1),
            ("a book (nobody-6, ch. 3)", 1),
            ("see nobody-1980", 1),
            ("none; a rule of this code", 0),
            ("resistances in series, textbook rule", 0),
            ("common practice, no published source", 0),
            ("balance of one volume, algebra", 0),
            ("algebra", 0),
        ]
    ):
        planted = plant(tmp_path / str(number), physics__a=none.replace("SOURCE", source))
        assert len(key_findings(planted, set())) == findings
    bracketed = plant(tmp_path / "known", physics__a=none.replace("SOURCE", "a book (nobody-6, ch. 3)"))
    assert key_findings(bracketed, {"nobody-6"}) == []


@pytest.mark.parametrize("module", MODULES)
def test_examples_run(module: str) -> None:
    """What the docstrings of a module show is what it says."""
    told = io.StringIO()
    with contextlib.redirect_stdout(told):
        result = doctest.testmod(import_module(module))
    assert not result.failed, told.getvalue()
