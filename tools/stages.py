"""The stages behind ./check: each runs one tool in the checks' own environment and is counted.

Exit codes: 0 all passed, 1 something failed (or was skipped under CI=true), 2 the environment could not be
made or the arguments are wrong, 3 nothing failed, but a stage has nothing to run yet.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import time
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import chromium
import envs
import pg_temp

# Debian packages that some stage needs, and how to see that they are there: installed by apt-get when run as
# root and not there.
SYSTEM_PACKAGES: dict[str, Callable[[], object]] = {
    "postgresql": pg_temp.programs,
    chromium.PACKAGE: lambda: chromium.program() or not chromium.has_package(),
    chromium.LIBRARY_PACKAGE: chromium.driver_library,
}
BROWSER_TESTS = "tests/browser"
DATABASE_TESTS = (
    "tests/records",
    "tests/services",
    "tests/web",
    "tests/server",
    "tests/cli/test_record_commands.py",
)

CODE = ("strandline", "check", "src", "tests", "tools")


@dataclass(frozen=True)
class Options:
    """What the caller asked for."""

    root: Path
    python: str
    long: bool
    explore: bool
    seed: int
    under_ci: bool


@dataclass(frozen=True)
class Outcome:
    """What a stage came to; `missing` says what is not there yet, when nothing could be run."""

    passed: int = 0
    failed: int = 0
    skipped: int = 0
    deselected: int = 0
    expected_failures: int = 0
    missing: str = ""
    seconds: float = 0.0

    @property
    def word(self) -> str:
        """One or two words for the table."""
        if self.failed:
            return "FAILED"
        return "NOT COMPLETE" if self.missing else "passed"


def run(
    options: Options, module_and_arguments: Sequence[str], more: Mapping[str, str] | None = None
) -> tuple[int, str]:
    """Run `python -m ...` in the root, showing its output as it comes; return exit code and output."""
    variables = {**envs.environment_for(str(options.root)), **(more or {})}
    command = [options.python, "-P", *module_and_arguments]
    lines = []
    with subprocess.Popen(
        command,
        cwd=options.root,
        env=variables,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            lines.append(line)
            print("    " + line, end="", flush=True)
    return process.returncode, "".join(lines)


def one_tool(options: Options, *module_and_arguments: str) -> Outcome:
    """Run a tool that says yes or no as a whole; it counts as one test."""
    code, _ = run(options, ["-m", *module_and_arguments])
    return Outcome(passed=int(code == 0), failed=int(code != 0))


def existing(options: Options, *names: str) -> list[str]:
    """Those of the names that are there."""
    return [name for name in names if (options.root / name).exists()]


def stage_format(options: Options) -> Outcome:
    """Is every file laid out as ruff lays it out?"""
    return one_tool(options, "ruff", "format", "--check", "--quiet", *existing(options, *CODE))


def stage_lint(options: Options) -> Outcome:
    """Has ruff anything to say?"""
    return one_tool(options, "ruff", "check", *existing(options, *CODE))


def stage_types(options: Options) -> Outcome:
    """Does mypy, strict, agree with the types of the product, the tools and the house tests?"""
    if not (options.root / "src" / "strandline").is_dir():
        return Outcome(missing="src/strandline is not there")
    tools = sorted(str(path.relative_to(options.root)) for path in (options.root / "tools").glob("*.py"))
    return one_tool(options, "mypy", "src/strandline", *tools, *existing(options, "tests/house"))


def stage_house(options: Options) -> Outcome:
    """Are the rules of the house kept?"""
    return pytest_stage(options, "house", ["tests/house"])


def stage_tests(options: Options) -> Outcome:
    """Do all other tests pass?"""
    elsewhere = [f"--ignore={path}" for path in ("tests/house", BROWSER_TESTS)]
    return pytest_stage(options, "tests", ["tests", *elsewhere], hands=hands())


def stage_postgres(options: Options) -> Outcome:
    """Do the tests of the record pass on PostgreSQL too?"""
    folders = existing(options, *DATABASE_TESTS)
    if not folders:
        return Outcome(missing="tests/records is not there")
    if not pg_temp.programs():
        return Outcome(missing=f"no PostgreSQL; install it: {pg_temp.INSTALL}")
    with pg_temp.server() as address:
        return pytest_stage(options, "postgres", folders, {pg_temp.VARIABLE: address}, hands())


def stage_browser(options: Options) -> Outcome:
    """Do the pages work in a browser?  Without one: not complete, and failed under CI=true."""
    if not (options.root / BROWSER_TESTS).is_dir():
        return Outcome(missing=f"{BROWSER_TESTS} is not there")
    if chromium.program() is None:
        told = f"no Chromium; install it: {chromium.install(options.python)}"
        return Outcome(failed=int(options.under_ci), missing=told)
    if not chromium.driver_library():
        told = f"no {chromium.LIBRARY}; install it: apt-get install {chromium.LIBRARY_PACKAGE}"
        return Outcome(failed=int(options.under_ci), missing=told)
    return pytest_stage(options, "browser", [BROWSER_TESTS])


def stage_docs(options: Options) -> Outcome:
    """Is the guide true?"""
    scripts = existing(options, "tools/docs_check", "tools/docs_check.py")
    if not scripts:
        return Outcome(missing="tools/docs_check is not there")
    code, output = run(options, [scripts[0]])
    counts = re.findall(r"^(\d+) passed, (\d+) failed(?:, (\d+) skipped)?\s*$", output, flags=re.MULTILINE)
    if not counts:
        return Outcome(passed=int(code == 0), failed=int(code != 0))
    passed, failed, skipped = (int(number or 0) for number in counts[-1])
    return Outcome(passed=passed, failed=failed or int(code != 0), skipped=skipped)


def hands() -> int:
    """How many processes share the tests of a stage: as many as there are processors, four at most."""
    return min(os.cpu_count() or 1, 4)


def pytest_stage(
    options: Options, name: str, paths: Sequence[str], more: Mapping[str, str] | None = None, hands: int = 1
) -> Outcome:
    """Run pytest on some paths, in several processes where there are ``hands``; counts are of its report."""
    if not (options.root / paths[0]).is_dir():
        return Outcome(missing=f"{paths[0]} is not there")
    report = options.root / ".check" / f"{name}.xml"
    report.unlink(missing_ok=True)
    arguments = [
        "-m",
        "pytest",
        "-q",
        *paths,
        f"--junitxml={report}",
        "-m",
        "" if options.long else "not long",
    ]
    if hands > 1:
        # A file stays with one process: what it makes once is made once.
        arguments += [f"--numprocesses={hands}", "--dist=loadfile"]
    if options.explore:
        arguments.append("--hypothesis-profile=explore")
    arguments.append(f"--randomly-seed={options.seed}")
    code, output = run(options, arguments, more)
    outcome = read_report(report)
    found = re.search(r"(\d+) deselected", output)
    outcome = replace(outcome, deselected=int(found[1]) if found else 0)
    if code == 5:
        return replace(outcome, missing=f"no test to run in {paths[0]}")
    return replace(outcome, failed=outcome.failed or int(code != 0))


def read_report(report: Path) -> Outcome:
    """Count the cases of a JUnit report; a test that fails as foretold is neither passed nor skipped."""
    if not report.exists():
        return Outcome()
    passed = failed = skipped = expected = 0
    for case in ElementTree.parse(report).iter("testcase"):
        skip = case.find("skipped")
        if case.find("failure") is not None or case.find("error") is not None:
            failed += 1
        elif skip is None:
            passed += 1
        elif skip.get("type") == "pytest.xfail":
            expected += 1
        else:
            skipped += 1
    return Outcome(passed=passed, failed=failed, skipped=skipped, expected_failures=expected)


STAGES: dict[str, Callable[[Options], Outcome]] = {
    "format": stage_format,
    "lint": stage_lint,
    "types": stage_types,
    "house": stage_house,
    "tests": stage_tests,
    "postgres": stage_postgres,
    "browser": stage_browser,
    "docs": stage_docs,
}


def install_system_packages() -> None:
    """Install what SYSTEM_PACKAGES misses where we may; elsewhere the stage says what to install."""
    lacking = [name for name, there in SYSTEM_PACKAGES.items() if not there()]
    if not lacking or not hasattr(os, "geteuid") or os.geteuid() != 0 or not shutil.which("apt-get"):
        return
    variables = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    for command in (["update"], ["-y", "install", *lacking]):
        if subprocess.run(["apt-get", "-qq", *command], env=variables, check=False).returncode:
            print(f"check: apt-get {command[0]} failed; stages that need {', '.join(lacking)} will say so")
            return


def seed_of_commit(root: Path) -> int:
    """A seed for the order of tests: another with each commit, the same for everyone who has that commit."""
    try:
        answer = subprocess.run(
            ["git", "rev-parse", "HEAD"], cwd=root, capture_output=True, text=True, check=False
        )
    except OSError:
        return 1
    return int(answer.stdout[:8], 16) if answer.returncode == 0 else 1


def read_arguments(arguments: Sequence[str]) -> argparse.Namespace:
    """The choices of ./check."""
    parser = argparse.ArgumentParser(prog="check", description="Run every check of this repository.")
    parser.add_argument("--long", action="store_true", help="also run the tests marked long")
    parser.add_argument(
        "--only",
        action="append",
        choices=list(STAGES),
        metavar="STAGE",
        help=f"one of {', '.join(STAGES)}; may be repeated",
    )
    parser.add_argument(
        "--explore", action="store_true", help="draw other examples and another order each time"
    )
    parser.add_argument("--seed", type=int, help="order of the tests (default: from the commit)")
    return parser.parse_args(arguments)


def summary(outcomes: dict[str, Outcome], options: Options, chosen: Sequence[str]) -> int:
    """Print the table and the closing line; return the exit code."""
    print(f"\n{'stage':<8} {'result':<14} {'run':>6} {'skipped':>8} {'seconds':>8}")
    for name, outcome in outcomes.items():
        ran = outcome.passed + outcome.failed + outcome.expected_failures
        print(f"{name:<8} {outcome.word:<14} {ran:>6} {outcome.skipped:>8} {outcome.seconds:>8.1f}")
    passed, failed, skipped, deselected, expected = (
        sum(getattr(outcome, field) for outcome in outcomes.values())
        for field in ("passed", "failed", "skipped", "deselected", "expected_failures")
    )
    print(f"\nOrder of tests: --seed {options.seed}. format, lint and types count as one test each.")
    if deselected:
        print(f"{deselected} tests marked long were left out (./check --long runs them).")
    if expected:
        print(f"{expected} tests failed as their xfail mark says.")
    missing = [f"{name} ({outcome.missing})" for name, outcome in outcomes.items() if outcome.missing]
    if missing:
        print(f"NOT COMPLETE: {', '.join(missing)}")
    if len(chosen) < len(STAGES):
        print(f"Only {', '.join(chosen)}: the other stages were not asked for.")
    if options.under_ci and skipped:
        print("CI=true: nothing may be skipped, so this run has FAILED.")
    print(f"{passed} passed, {failed} failed, {skipped} skipped", flush=True)
    if failed or (options.under_ci and skipped):
        return 1
    return 3 if missing else 0


def run_stages(options: Options, chosen: Sequence[str]) -> int:
    """Run the chosen stages in order, all of them even after a failure."""
    outcomes = {}
    for name in chosen:
        print(f"\n== {name}", flush=True)
        started = time.monotonic()
        outcome = STAGES[name](options)
        outcomes[name] = outcome = replace(outcome, seconds=time.monotonic() - started)
        told = (
            outcome.missing or f"{outcome.passed} passed, {outcome.failed} failed, {outcome.skipped} skipped"
        )
        print(f"== {name}: {outcome.word}: {told} in {outcome.seconds:.1f} s", flush=True)
    return summary(outcomes, options, chosen)


def options_from(wanted: argparse.Namespace, root: Path, env: str) -> Options:
    """What was asked for, with the seed settled."""
    seed = wanted.seed
    if seed is None:
        seed = time.time_ns() % 2**32 if wanted.explore else seed_of_commit(root)
    return Options(
        root=root,
        python=envs.python_in(env),
        long=wanted.long,
        explore=wanted.explore,
        seed=seed,
        under_ci=os.environ.get("CI") == "true",
    )


def main(root: str, arguments: Sequence[str]) -> int:
    """Make the environment, run the stages."""
    wanted = read_arguments(arguments)
    try:
        env = envs.find_or_make(root, "test")
        install_system_packages()
    except envs.CannotStart as problem:
        print(f"check: {problem}", file=sys.stderr)
        return 2
    except subprocess.CalledProcessError as problem:
        print(f"check: {' '.join(problem.cmd)} failed", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("check: stopped", file=sys.stderr)
        return 130
    envs.hold(env)
    (Path(root) / ".check").mkdir(exist_ok=True)
    try:
        return run_stages(
            options_from(wanted, Path(root), env),
            [name for name in STAGES if not wanted.only or name in wanted.only],
        )
    except KeyboardInterrupt:
        print("\ncheck: stopped", file=sys.stderr)
        return 130
