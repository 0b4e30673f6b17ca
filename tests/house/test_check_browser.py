"""The stage of the browser counts honestly where there is none, and a snap is no browser for it."""

import os
import sys
from pathlib import Path

import pytest

import chromium
import stages


def options(root: Path, *, under_ci: bool) -> stages.Options:
    """Options of a run with a folder of tests to run."""
    (root / stages.BROWSER_TESTS).mkdir(parents=True)
    return stages.Options(
        root=root, python=sys.executable, long=False, explore=False, seed=1, under_ci=under_ci
    )


@pytest.mark.parametrize(("under_ci", "word"), [(False, "NOT COMPLETE"), (True, "FAILED")])
def test_without_a_browser_the_stage_is_not_complete(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, under_ci: bool, word: str
) -> None:
    """It names the command that installs one; under CI=true that is a failure."""
    monkeypatch.setenv(chromium.VARIABLE, str(tmp_path / "none"))
    outcome = stages.stage_browser(options(tmp_path, under_ci=under_ci))
    assert outcome.word == word
    assert outcome.passed == 0
    assert chromium.install(sys.executable) in outcome.missing


def script(folder: Path, text: str) -> Path:
    """A program that is a script."""
    file = folder / "chromium"
    file.write_text(text, encoding="utf-8")
    file.chmod(0o755)
    return file


def test_a_snap_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A script that starts one, as some systems install it, is not taken; an ordinary start script is."""
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    monkeypatch.setenv("PLAYWRIGHT_BROWSERS_PATH", str(tmp_path / "nowhere"))
    monkeypatch.setenv("PATH", str(tmp_path))
    assert chromium.program() is None
    script(tmp_path, '#!/bin/sh\nexec /snap/bin/chromium "$@"\n')
    assert chromium.program() is None
    told = script(tmp_path, '#!/bin/sh\nexec /usr/lib/chromium/chromium "$@"\n')
    assert chromium.program() == told


def test_a_browser_may_be_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The variable wins over what the system has; a name that cannot be run is none."""
    told = script(tmp_path, "#!/bin/sh\n")
    monkeypatch.setenv(chromium.VARIABLE, str(told))
    assert chromium.program() == told
    told.chmod(0o644)
    if os.geteuid() != 0 or not os.access(told, os.X_OK):
        assert chromium.program() is None


def test_every_system_package_is_missed_where_it_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a Debian with nothing of the kind each says so, and apt-get is asked for it."""
    assert set(stages.SYSTEM_PACKAGES) == {"postgresql", "chromium", "libatomic1"}
    monkeypatch.setattr(chromium, "program", lambda: None)
    monkeypatch.setattr(chromium, "has_package", lambda: True)
    monkeypatch.setattr(chromium, "LIBRARY", "lib-nobody-has.so.1")
    monkeypatch.setattr(sys, "platform", "linux")
    assert not stages.SYSTEM_PACKAGES["chromium"]()
    assert not stages.SYSTEM_PACKAGES["libatomic1"]()
    monkeypatch.setattr(chromium, "program", lambda: Path("/usr/bin/chromium"))
    assert stages.SYSTEM_PACKAGES["chromium"]()


def test_the_library_of_the_driver_is_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A minimal system has the browser and lacks it: the stage names the package instead of failing."""
    monkeypatch.setattr(chromium, "LIBRARY", "lib-nobody-has.so.1")
    monkeypatch.setattr(chromium, "program", lambda: Path("/bin/true"))
    monkeypatch.setattr(sys, "platform", "linux")
    assert not chromium.driver_library()
    assert "apt-get install libatomic1" in stages.stage_browser(options(tmp_path, under_ci=True)).missing
    assert "libatomic1" in stages.SYSTEM_PACKAGES
