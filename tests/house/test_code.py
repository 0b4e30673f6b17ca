"""How code is written."""

from pathlib import Path

import pytest

from tests.house.code_rules import (
    MOST_LINES_PER_FILE,
    MOST_LINES_PER_FUNCTION,
    ignore_findings,
    init_findings,
    size_findings,
    skip_findings,
    swallow_findings,
)
from tests.house.tree import plant, repository

IGNORE = "# type: " + "ignore"


def test_init_files_are_empty() -> None:
    """Only the package's own holds something: the version."""
    assert init_findings(repository()) == []


def test_the_init_rule_can_fail(tmp_path: Path) -> None:
    """A re-export is found, and so is anything beside the version."""
    tree = plant(
        tmp_path, __init__="from os import path\n__version__ = '1'\n", care____init__="from .a import b\n"
    )
    assert len(init_findings(tree)) == 2


def test_files_and_functions_are_small() -> None:
    """Nobody has to scroll for long."""
    assert size_findings(repository()) == []


def test_the_size_rule_can_fail(tmp_path: Path) -> None:
    """One line too many is found, in a function and in a file; the limit itself is fine."""
    body = "    x = 1\n"
    longest = "def f():\n" + body * (MOST_LINES_PER_FUNCTION - 1)
    too_long = "def g():\n" + body * MOST_LINES_PER_FUNCTION
    file = "x = 1\n" * MOST_LINES_PER_FILE
    tree = plant(tmp_path, care__a=longest, care__b=too_long, care__c=file, care__d=file + "x = 2\n")
    assert [finding.split(":")[0][-4:] for finding in size_findings(tree)] == ["b.py", "d.py"]


def test_no_error_is_swallowed() -> None:
    """What is caught is answered, raised or told."""
    assert swallow_findings(repository()) == []


@pytest.mark.parametrize(
    "handler",
    [
        "except OSError:\n    pass",
        "except OSError:\n    ...",
        "except:\n    x = 1",
        "except Exception:\n    x = None",
        "except (KeyError, Exception) as error:\n    x = None",
    ],
)
def test_the_swallow_rule_can_fail(tmp_path: Path, handler: str) -> None:
    """An empty handler and a broad one that looks away are found."""
    assert len(swallow_findings(plant(tmp_path, care__a=f"try:\n    f()\n{handler}\n"))) == 1


def test_the_swallow_rule_sees_suppress(tmp_path: Path) -> None:
    """suppress() of everything is the same thing in other words."""
    bad = "import contextlib\nwith contextlib.suppress(Exception):\n    f()\n"
    assert len(swallow_findings(plant(tmp_path, care__a=bad))) == 1


@pytest.mark.parametrize(
    "handler",
    [
        "except OSError:\n    x = 1",
        "except Exception as error:\n    log(error)",
        "except Exception:\n    undo()\n    raise",
    ],
)
def test_the_swallow_rule_lets_answers_pass(tmp_path: Path, handler: str) -> None:
    """A handler that does something about the error is fine."""
    assert swallow_findings(plant(tmp_path, care__a=f"try:\n    f()\n{handler}\n")) == []


def test_left_out_tests_say_why() -> None:
    """Every skip and every expected failure has its reason."""
    assert skip_findings(repository()) == []


@pytest.mark.parametrize(
    "line",
    [
        "@pytest.mark.skip\ndef test(): ...",
        "@pytest.mark.skip()\ndef test(): ...",
        "@pytest.mark.skipif(True)\ndef test(): ...",
        "@pytest.mark.xfail(True)\ndef test(): ...",
        "@pytest.mark.xfail(reason='')\ndef test(): ...",
        "pytest.skip()",
        "pytest.skip('')",
        "x = pytest.importorskip('numpy')",
        "@unittest.skipIf(True, '')\ndef test(): ...",
    ],
)
def test_the_skip_rule_can_fail(tmp_path: Path, line: str) -> None:
    """No reason, or an empty one, is found."""
    assert len(skip_findings(plant(tmp_path, care__a=f"import pytest, unittest\n{line}\n"))) == 1


@pytest.mark.parametrize(
    "line",
    [
        "@pytest.mark.skip(reason='no such disk here')\ndef test(): ...",
        "@pytest.mark.skipif(True, reason='no such disk here')\ndef test(): ...",
        "pytest.skip('no such disk here')",
        "queue.skip()",
    ],
)
def test_the_skip_rule_lets_reasons_pass(tmp_path: Path, line: str) -> None:
    """A reason is enough; other things called skip are none of its business."""
    assert skip_findings(plant(tmp_path, care__a=f"import pytest\n{line}\n")) == []


def test_ignores_name_code_and_reason() -> None:
    """An ignore says what and why."""
    assert ignore_findings(repository()) == []


@pytest.mark.parametrize("tail", ["", "[arg-type]", "  # because", "[]  # because"])
def test_the_ignore_rule_can_fail(tmp_path: Path, tail: str) -> None:
    """Without code, or without reason, it is found."""
    assert len(ignore_findings(plant(tmp_path, care__a=f"x = 1  {IGNORE}{tail}\n"))) == 1


def test_the_ignore_rule_lets_the_full_form_pass(tmp_path: Path) -> None:
    """Code and reason are enough; the words inside a text are no ignore."""
    source = f'x = 1  {IGNORE}[arg-type]  # the stub is wrong\ny = "{IGNORE}"\n'
    assert ignore_findings(plant(tmp_path, care__a=source)) == []
