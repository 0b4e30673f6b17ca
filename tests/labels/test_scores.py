"""The reader against the hand labels: precision and recall of material families on both halves.

Only totals of the locked half are looked at; no row of it is named here or in a failure.
"""

from __future__ import annotations

import hashlib
import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

HERE = Path(__file__).parent


def load() -> ModuleType:
    """The scorer, which is a script beside this file."""
    spec = importlib.util.spec_from_file_location("labels_score", HERE / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


SCORE = load()


@pytest.mark.parametrize("half", ["open", "locked"])
def test_families(half: str) -> None:
    totals = SCORE.score_half(half)
    assert totals["rows"] == 100
    assert totals["families"]["precision"] >= 0.95
    assert totals["families"]["recall"] >= 0.95


def test_words_of_the_open_half() -> None:
    words = SCORE.score_half("open")["words"]["materials"]
    assert words["understood"] + words["set_aside"] + words["harmless"] >= 0.97


def test_the_locked_half_is_the_one_that_was_labelled() -> None:
    digest = hashlib.sha256((HERE / "locked.jsonl").read_bytes()).hexdigest()
    assert digest in (HERE / "README.md").read_text(encoding="utf-8")


def test_a_reader_that_reads_too_much_or_too_little_scores_less() -> None:
    right = {"wood", "metal"}
    assert SCORE.precision_recall([(right, right)])["precision"] == 1.0
    assert SCORE.precision_recall([({"wood", "glass"}, right)])["precision"] == 0.5
    assert SCORE.precision_recall([({"wood"}, right)])["recall"] == 0.5
