"""What stands in text files, and what the project says of itself in more than one place."""

import tomllib
from pathlib import Path

import pytest

from strandline import __version__
from tests.house.text_rules import (
    HOSTS,
    MACHINE_PATHS,
    WORKING_PAPERS,
    forbidden_findings,
    lock_findings,
    pins,
    wanted,
)
from tests.house.tree import ROOT, plant, read_tree, repository


def test_no_text_names_hosts_machines_or_working_papers() -> None:
    """What holds on one desk only stays there."""
    assert forbidden_findings(repository()) == []


@pytest.mark.parametrize("word", [*HOSTS, *MACHINE_PATHS, *WORKING_PAPERS])
def test_the_text_rule_can_fail(tmp_path: Path, word: str) -> None:
    """Each forbidden word is found, in a text and at the start of a line."""
    tree = plant(tmp_path, care__a=f"# see {word}\n", care__b=f'"""\n{word} says so\n"""\n')
    assert len(forbidden_findings(tree)) == 2


def test_the_text_rule_reads_file_names(tmp_path: Path) -> None:
    """A working paper is found by its name alone."""
    (tmp_path / WORKING_PAPERS[0]).write_text("hello\n", encoding="utf-8")
    assert len(forbidden_findings(read_tree(tmp_path))) == 1


def test_the_text_rule_lets_ordinary_words_pass(tmp_path: Path) -> None:
    """Paths and names that merely end alike are fine."""
    tree = plant(
        tmp_path, care__a="# docs/" + "work/plan.md README.md LIFESTYLE.md docs/design.md shared/x\n"
    )
    assert forbidden_findings(tree) == []


def test_locks_pin_with_hashes_and_name_no_place() -> None:
    """Both locks are there and hold every package with its hashes."""
    locks = [file for file in repository() if file.path.endswith(".lock")]
    assert [file.path for file in locks] == ["requirements-test.lock", "requirements.lock"]
    assert lock_findings(locks) == []


@pytest.mark.parametrize(
    "text", ["click>=8\n    --hash=sha256:0\n", "click==8.0\n", "--index-url https://example.invalid\n"]
)
def test_the_lock_rule_can_fail(tmp_path: Path, text: str) -> None:
    """No version, no hash, or a place to fetch from is found."""
    (tmp_path / "x.lock").write_text(text, encoding="utf-8")
    assert len(lock_findings(read_tree(tmp_path))) == 1


def read(name: str) -> str:
    """A file in the root, as text."""
    return (ROOT / name).read_text(encoding="utf-8")


def test_checks_run_on_the_versions_that_people_run() -> None:
    """The lock for the checks holds the lock for running."""
    run, test = pins(read("requirements.lock")), pins(read("requirements-test.lock"))
    assert run
    assert run.items() <= test.items()


def test_requirements_agree() -> None:
    """pyproject.toml, the .in files and the locks name the same packages."""
    project = tomllib.loads(read("pyproject.toml"))["project"]
    assert wanted("\n".join(project["dependencies"])) == wanted(read("requirements.in"))
    assert wanted(read("requirements.in")) <= pins(read("requirements.lock")).keys()
    assert wanted(read("requirements-test.in")) <= pins(read("requirements-test.lock")).keys()
    assert project["version"] == __version__
