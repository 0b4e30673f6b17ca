"""Where the compiled engine is kept, and that a stale one is not taken for this one."""

from pathlib import Path

import pytest

from strandline.physics import compiled


def test_nothing_compiled_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty cache holds no engine; one with the outermost function does."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    assert not compiled.is_compiled()
    place = compiled.cache_folder() / "physics_0"
    place.mkdir(parents=True)
    (place / "lanes_run.settle-1.py311.nbi").touch()
    assert not compiled.is_compiled()
    (place / "lanes_run.run_all-1.py311.nbi").touch()
    assert compiled.is_compiled()


def test_another_text_has_another_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A change in any file of the engine names a new folder, though numba would look at one file only."""
    for file in Path(compiled.__file__).parent.glob("lanes*.py"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    monkeypatch.setattr(compiled, "__file__", str(tmp_path / "compiled.py"))
    before = compiled.cache_folder().name
    with (tmp_path / "lanes_table.py").open("a", encoding="utf-8") as file:
        file.write("# changed\n")
    assert compiled.cache_folder().name != before
