"""./check counts honestly, and the launcher takes only a whole environment."""

from pathlib import Path

import pytest

import envbuild
import envs
import stages

LOCK = "click==8.0\n    --hash=sha256:00\n"
REPORT = """<testsuites><testsuite>
<testcase name="a"/><testcase name="b"/>
<testcase name="c"><failure message="no"/></testcase>
<testcase name="d"><error message="no"/></testcase>
<testcase name="e"><skipped type="pytest.skip" message="why"/></testcase>
<testcase name="f"><skipped type="pytest.xfail" message="why"/></testcase>
</testsuite></testsuites>"""


def options(root: Path, *, under_ci: bool = False) -> stages.Options:
    """Options of an ordinary run."""
    return stages.Options(root=root, python="", long=False, explore=False, seed=1, under_ci=under_ci)


def test_a_report_is_counted_by_kind(tmp_path: Path) -> None:
    """Errors are failures; a failure that was foretold is neither a pass nor a skip."""
    report = tmp_path / "report.xml"
    report.write_text(REPORT, encoding="utf-8")
    counted = stages.read_report(report)
    assert (counted.passed, counted.failed, counted.skipped, counted.expected_failures) == (2, 2, 1, 1)


@pytest.mark.parametrize(
    ("outcome", "under_ci", "code"),
    [
        (stages.Outcome(passed=3), True, 0),
        (stages.Outcome(passed=3, failed=1), False, 1),
        (stages.Outcome(passed=3, skipped=1), False, 0),
        (stages.Outcome(passed=3, skipped=1), True, 1),
        (stages.Outcome(missing="nothing there"), True, 3),
        (stages.Outcome(failed=1, missing="nothing there"), False, 1),
    ],
)
def test_the_exit_code_tells_how_it_went(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], outcome: stages.Outcome, under_ci: bool, code: int
) -> None:
    """A failure is 1, also a skip under CI; nothing to run is 3; the closing line stands alone."""
    assert stages.summary({"tests": outcome}, options(tmp_path, under_ci=under_ci), ["tests"]) == code
    told = capsys.readouterr().out
    assert told.endswith(f"\n{outcome.passed} passed, {outcome.failed} failed, {outcome.skipped} skipped\n")
    assert ("NOT COMPLETE" in told) == bool(outcome.missing)


@pytest.mark.parametrize("stage", ["types", "house", "tests", "docs"])
def test_a_stage_with_nothing_to_run_says_so(tmp_path: Path, stage: str) -> None:
    """An empty tree passes none of the stages that need something to look at."""
    outcome = stages.STAGES[stage](options(tmp_path))
    assert outcome.missing
    assert (outcome.passed, outcome.word) == (0, "NOT COMPLETE")


def make_root(root: Path, lock: str = LOCK) -> str:
    """A checkout with nothing in it but a lock."""
    (root / "requirements.lock").write_bytes(lock.encode())
    return str(root)


def make_env(root: Path, *, stamped: bool, python: bool) -> Path:
    """An environment for that checkout, whole or not."""
    env = root / envs.env_name(str(root), "run")
    interpreter = Path(envs.python_in(str(env)))
    interpreter.parent.mkdir(parents=True)
    if python:
        interpreter.touch()
    if stamped:
        (env / envs.STAMP).touch()
    return env


@pytest.mark.parametrize(("stamped", "python"), [(True, False), (False, True), (False, False)])
def test_half_an_environment_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stamped: bool, python: bool
) -> None:
    """Without its stamp, or with its Python gone, an environment is not found."""
    monkeypatch.setenv("STRANDLINE_ENV_DIR", str(tmp_path))
    root = make_root(tmp_path)
    make_env(tmp_path, stamped=stamped, python=python)
    assert envs.find(root, "run") is None


def test_a_whole_environment_is_found_until_the_lock_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Other line ends are the same lock; another version is another."""
    monkeypatch.setenv("STRANDLINE_ENV_DIR", str(tmp_path))
    root = make_root(tmp_path)
    env = make_env(tmp_path, stamped=True, python=True)
    assert envs.find(root, "run") == str(env)
    assert envs.find(make_root(tmp_path, LOCK.replace("\n", "\r\n")), "run") == str(env)
    assert envs.find(make_root(tmp_path, LOCK.replace("8.0", "8.1")), "run") is None


def test_a_missing_lock_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No traceback: one line, exit code 2."""
    assert envs.main(str(tmp_path), ["care"]) == 2
    told = capsys.readouterr().err
    assert told.startswith("strandline: cannot read ")
    assert told.count("\n") == 1


@pytest.mark.parametrize(("kind", "compiled"), [("run", 1), ("test", 0)])
def test_a_new_environment_compiles_the_engine_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, compiled: int
) -> None:
    """Once, for those who run the tool, with the cache that later starts look into; not for the checks."""
    monkeypatch.setenv("STRANDLINE_ENV_DIR", str(tmp_path))
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    started: list[dict[str, str]] = []
    monkeypatch.setattr(
        envbuild, "make", lambda root, kind: str(make_env(tmp_path, stamped=True, python=True))
    )
    monkeypatch.setattr(envbuild, "compile_beside", lambda python, variables: started.append(dict(variables)))
    root = make_root(tmp_path)
    (tmp_path / "requirements-test.lock").write_text(LOCK, encoding="utf-8")
    envs.find_or_make(root, kind)
    assert len(started) == compiled
    folder = envs.environment_for(root).get("NUMBA_CACHE_DIR", "")
    assert all(one.get("NUMBA_CACHE_DIR", "") == folder for one in started)
    if kind == "run":
        envs.find_or_make(root, kind)
        assert len(started) == 1
