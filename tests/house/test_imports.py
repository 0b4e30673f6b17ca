"""Who may import whom."""

from pathlib import Path

import pytest

from tests.house.import_rules import cycle_findings, floor_findings, inner_import_findings
from tests.house.tree import plant, repository


def test_floors_import_only_lower_floors() -> None:
    """A room imports itself and rooms on lower floors; rooms on one floor do not know each other."""
    assert floor_findings(repository()) == []


@pytest.mark.parametrize(
    ("importer", "line"),
    [
        ("physics__air", "from strandline.knowledge import materials"),
        ("care__plan", "from strandline.drying import engine"),
        ("care__plan", "import strandline.drying.engine as e"),
        ("web__page", "from strandline.cli.main import main"),
        ("cli__main", "from strandline import web"),
        ("api__v1", "from ..web import page"),
        ("things__part", "import importlib\nimportlib.import_module('strandline.care.plan')"),
        (
            "things__part",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from strandline.care import plan",
        ),
        ("cellar__wine", "x = 1"),
    ],
)
def test_the_floor_rule_can_fail(tmp_path: Path, importer: str, line: str) -> None:
    """An import upwards or sideways is found, however it is written."""
    assert len(floor_findings(plant(tmp_path, **{importer: line}))) == 1


def test_the_floor_rule_lets_lower_floors_pass(tmp_path: Path) -> None:
    """Imports downwards, within a room, and of the version are fine."""
    tree = plant(
        tmp_path,
        cli__main="from strandline.pipeline import run\nfrom strandline import __version__",
        cli__output="from . import main\nimport os",
        __main__="",
    )
    assert floor_findings(tree) == []


def test_no_import_goes_in_a_ring() -> None:
    """No module reaches itself through imports."""
    assert cycle_findings(repository()) == []


def test_the_ring_rule_can_fail(tmp_path: Path) -> None:
    """A ring of three is found once; a chain is none."""
    ring = {
        "care__a": "from strandline.care import b",
        "care__b": "from .c import x",
        "care__c": "import strandline.care.a",
        "care__d": "from .a import x",
    }
    assert cycle_findings(plant(tmp_path, **ring)) == [
        "strandline.care.a > strandline.care.b > strandline.care.c > strandline.care.a"
    ]


def test_imports_inside_functions_say_why() -> None:
    """A comment on the line or above it gives the reason."""
    assert inner_import_findings(repository()) == []


def test_the_inner_import_rule_can_fail(tmp_path: Path) -> None:
    """No reason is found out; a word to a tool is none; a reason above a block serves the block."""
    bad = "def f():\n    import os\n\n    import sys  # noqa: F401\n    return os, sys\n"
    good = (
        "def f():\n    import os  # slow to load\n    # both only here: slow\n    import re\n    import sys\n"
        "    return os, re, sys\n"
    )
    assert len(inner_import_findings(plant(tmp_path / "bad", care__a=bad))) == 2
    assert inner_import_findings(plant(tmp_path / "good", care__a=good)) == []
