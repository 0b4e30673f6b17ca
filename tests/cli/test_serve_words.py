"""What `serve` says and finds out before anybody opens a page."""

import socket
import stat
from pathlib import Path

import pytest

from strandline.cli import serve
from strandline.records.practice import make_folders


def nowhere() -> str:
    """A machine without a way out."""
    raise OSError("network is unreachable")


def test_without_a_network_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """No route and a name nobody resolves: a line instead of a traceback."""

    def unknown(_: str) -> str:
        raise socket.gaierror("no such name")

    monkeypatch.setattr(socket, "gethostbyname", unknown)
    monkeypatch.setattr(socket, "gethostname", lambda: "Laptop")
    names = serve.own_names(nowhere)
    assert names == ["laptop", "laptop.local"]
    told = "\n".join(serve.told(Path("practice"), 8317, names, ""))
    assert "no address on a network was found" in told


def test_phones_get_a_picture_of_the_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """Addresses, a code to photograph, and who could listen."""
    monkeypatch.setattr(socket, "gethostname", lambda: "laptop")
    names = serve.own_names(lambda: "192.0.2.7")
    told = serve.told(Path("practice"), 8317, names, "ABCD-EFGH")
    assert "  on the network    http://192.0.2.7:8317/" in told
    assert any("▄" in line or "█" in line for line in told)
    assert any("Plain http" in line for line in told)
    assert any("ABCD-EFGH" in line for line in told)


def test_a_practice_is_its_owners_alone(tmp_path: Path) -> None:
    """A folder made here nobody else opens; one that was there keeps its rights."""
    folder = tmp_path / "practice"
    assert make_folders(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    folder.chmod(0o750)
    assert not make_folders(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o750
