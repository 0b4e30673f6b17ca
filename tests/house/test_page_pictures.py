"""The pictures of the pages are those of today's pages, and an old one is found."""

import json
from pathlib import Path

import pytest

import page_pictures


def test_the_pictures_are_of_todays_pages() -> None:
    """None is missing, none is left over, none is older than what its page is made by."""
    assert page_pictures.faults() == []


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of pictures that is as it should be."""
    monkeypatch.setattr(page_pictures, "IMAGES", tmp_path)
    pages = {stem: page_pictures.names(stem, spot) for spot, _who, stem in page_pictures.shown()}
    for name in (name for names in pages.values() for name in names):
        (tmp_path / name).touch()
    told = {"looks_sha256": page_pictures.looks_hash(), "pages": pages}
    (tmp_path / "made.json").write_text(json.dumps(told), encoding="utf-8")
    return tmp_path


def test_a_changed_page_is_found(kept: Path) -> None:
    """As are a missing picture, one that belongs to no page, and a list that is gone."""
    assert page_pictures.faults() == []
    (kept / "now-phone-dark.png").unlink()
    (kept / "nobody.png").touch()
    told = json.loads((kept / "made.json").read_text(encoding="utf-8"))
    (kept / "made.json").write_text(json.dumps({**told, "looks_sha256": "0"}), encoding="utf-8")
    found = "\n".join(page_pictures.faults())
    assert "the pages have changed" in found
    assert "now-phone-dark.png:1: is not there" in found
    assert "nobody.png:1: belongs to no page" in found
    (kept / "made.json").unlink()
    assert "is not there" in page_pictures.faults()[0]


def test_the_hash_follows_a_template(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another word in a template is another page; a compiled file is none."""
    template = tmp_path / "web" / "templates" / "now.html"
    template.parent.mkdir(parents=True)
    template.write_text("<h1>Now</h1>", encoding="utf-8")
    monkeypatch.setattr(page_pictures, "SOURCE", tmp_path)
    before = page_pictures.looks_hash()
    (template.parent / "__pycache__").mkdir()
    (template.parent / "__pycache__" / "x.pyc").touch()
    assert page_pictures.looks_hash() == before
    template.write_text("<h1>Then</h1>", encoding="utf-8")
    assert page_pictures.looks_hash() != before
