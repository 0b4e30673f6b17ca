"""Makes the environment that envs.py looks for, once per lock file and Python; safe to interrupt anywhere.

It is built under a passing name and renamed when whole. What holds absolute paths in it (the scripts in bin/)
is rewritten before; Strandline itself only ever runs `bin/python -m ...`, for which the name does not matter.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import FrameType

from envs import LOCKS, PREFIX, STAMP, CannotStart, env_name, find, is_whole, lock_hash, places, python_in

BUILDING = f"{PREFIX}building-"
DISCARDED = f"{PREFIX}discarded-"
LOCK_FILE = f"{PREFIX}making.lock"
REPORT = f"{PREFIX}failed.log"
# pip learned --python in 22.3; older ones than 23.1.2 do not run on Python 3.12.
OLDEST_PIP = (22, 3) if sys.version_info < (3, 12) else (23, 1, 2)
WHAT_FOR = {"run": "", "test": " for the checks"}


class PlaceUnusable(Exception):
    """This folder cannot hold an environment; the next one may."""


def say(text: str) -> None:
    """Tell how far it is, on the error stream: a caller may be reading our output."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def make(root: str, kind: str) -> str:
    """Make the environment in the first folder that can hold it. Raises CannotStart."""
    reasons = []
    with stop_signal_as_interrupt():
        for place in map(Path, places(root)):
            try:
                with only_one(place):
                    # Whoever held the lock before us may have made it.
                    return find(root, kind) or build(root, kind, place)
            except PlaceUnusable as reason:
                reasons.append(f"{place} ({reason})")
    raise CannotStart(
        "found no folder that can hold the environment: "
        + ", ".join(reasons)
        + ". Set STRANDLINE_ENV_DIR to one that can."
    )


@contextlib.contextmanager
def stop_signal_as_interrupt() -> Iterator[None]:
    """Take a polite request to end like Ctrl-C, so that half-made things are put away."""

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


@contextlib.contextmanager
def only_one(place: Path) -> Iterator[None]:
    """Let one process at a time build in a folder.

    The lock is the operating system's own: it ends with the process that holds it, however that one ended, so
    a lock file left behind never blocks anybody. On a disk without locks two may build at once; the renaming
    at the end then lets the first one win.
    """
    try:
        place.mkdir(parents=True, exist_ok=True)
        handle = os.open(place / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise PlaceUnusable(error.strerror or str(error)) from error
    try:
        if not try_lock(handle):
            say("Strandline: another start is preparing the environment; waiting for it.")
            while not try_lock(handle):
                time.sleep(0.3)
        yield
    finally:
        os.close(handle)


def try_lock(handle: int) -> bool:
    """Take the lock if it is free, or if this disk has no locks at all."""
    if os.name == "nt":
        import msvcrt  # there on Windows only

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]  # Windows only
        except OSError:
            return False
        return True
    import fcntl  # not there on Windows

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


def build(root: str, kind: str, place: Path) -> str:
    """Build the environment beside its final place and put it there. The caller holds the lock."""
    pip = find_pip()
    clear_leftovers(place)
    target = place / env_name(root, kind)
    started = time.monotonic()
    say(
        f"Strandline: preparing the environment{WHAT_FOR[kind]} (once, with Python "
        f"{sys.version_info[0]}.{sys.version_info[1]}; needs the network) in {place}"
    )
    half_made = place / f"{BUILDING}{os.getpid()}-{time.time_ns()}"
    try:
        create_venv(half_made)
        install(pip, half_made, Path(root) / LOCKS[kind], place / REPORT)
        move_scripts(half_made, target)
        (half_made / STAMP).write_text(f"{target.name}\n{root}\n", encoding="utf-8")
        if hasattr(os, "sync"):
            os.sync()  # a power cut must not leave a stamp without the files it speaks for
        put_in_place(half_made, target)
    finally:
        remove_tree(half_made)
    clear_old(root, kind, place)
    say(f"Strandline: ready after {time.monotonic() - started:.0f} s.")
    return str(target)


def find_pip() -> list[str]:
    """Return the command of a pip that is new enough: this Python's own, or one on the PATH."""
    candidates = [[sys.executable, "-P", "-m", "pip"]]
    candidates += [[path] for path in (shutil.which("pip3"), shutil.which("pip")) if path]
    seen = []
    for command in candidates:
        version = pip_version(command)
        if version is None:
            continue
        if version >= OLDEST_PIP:
            return command
        seen.append(".".join(map(str, version)))
    wanted = ".".join(map(str, OLDEST_PIP))
    if seen:
        raise CannotStart(
            f"pip {wanted} or newer is needed; found only {', '.join(seen)}. Upgrade pip and start again."
        )
    raise CannotStart(
        f"pip {wanted} or newer is needed for the first start, and there is none "
        "(on Debian and Ubuntu: apt install python3-pip)"
    )


def pip_version(command: Sequence[str]) -> tuple[int, ...] | None:
    """Ask a pip for its version; None when it does not answer."""
    try:
        answer = subprocess.run(
            [*command, "--version"], capture_output=True, text=True, check=False, env=pip_variables()
        )
    except OSError:
        return None
    found = re.match(r"pip (\d+(?:\.\d+)*)", answer.stdout)
    return tuple(map(int, found[1].split("."))) if answer.returncode == 0 and found else None


def create_venv(half_made: Path) -> None:
    """Make an empty environment without pip, which Debian's Python cannot put in by itself."""
    try:
        import venv  # Debian may ship Python without it, and that deserves a plain answer
    except ImportError as error:
        raise CannotStart(
            "this Python has no venv module (on Debian and Ubuntu: apt install python3-venv)"
        ) from error
    try:
        venv.EnvBuilder(symlinks=os.name != "nt", with_pip=False).create(half_made)
    except OSError as error:
        remove_tree(half_made)
        raise PlaceUnusable(error.strerror or str(error)) from error


def pip_variables() -> dict[str, str]:
    """The caller's own pip settings, less those that would put packages elsewhere."""
    variables = dict(os.environ)
    for name in (
        "PYTHONHOME",
        "PYTHONPATH",
        "PIP_TARGET",
        "PIP_PREFIX",
        "PIP_ROOT",
        "PIP_PYTHON",
        "__PYVENV_LAUNCHER__",
    ):
        variables.pop(name, None)
    variables["PIP_USER"] = "0"
    return variables


def install(pip: Sequence[str], half_made: Path, lock: Path, report: Path) -> None:
    """Install what the lock names, each file checked against its hash; tell each package as it comes."""
    command = [
        *pip,
        "--python",
        python_in(str(half_made)),
        "install",
        "--require-hashes",
        "--only-binary",
        ":all:",
    ]
    command += [
        "--no-input",
        "--disable-pip-version-check",
        "--progress-bar",
        "off",
        "--no-warn-script-location",
    ]
    lines = []
    with subprocess.Popen(
        [*command, "-r", str(lock)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=pip_variables(),
        text=True,
        errors="replace",
    ) as process:
        try:
            assert process.stdout is not None
            for line in process.stdout:
                lines.append(line)
                tell_progress(line)
        except BaseException:
            process.kill()
            raise
    if process.returncode != 0:
        raise CannotStart(explain_failure(lines, report))
    report.unlink(missing_ok=True)


def tell_progress(line: str) -> None:
    """Say in plain words what a line of pip's means, if it means anything to a person."""
    if found := re.match(r"Collecting ([\w.-]+)==(\S+)", line):
        say(f"  fetching {found[1]} {found[2]}")
    elif found := re.match(r"Processing \S*?([\w.]+)-([^-\s]+)-\S+\.whl", line):
        say(f"  found on this machine: {found[1]} {found[2]}")
    elif line.startswith("Installing collected packages"):
        say(f"  unpacking {line.count(',') + 1} packages")


def explain_failure(lines: Sequence[str], report: Path) -> str:
    """One line on what went wrong with pip; everything it said goes to a file."""
    everything = "".join(lines)
    if "HASHES" in everything:
        reason = "a package came that is not the one the lock file names"
    elif re.search(r"No space left|Errno 28", everything):
        reason = "the disk is full"
    elif re.search(
        r"connection broken|NewConnectionError|ConnectTimeout|name resolution|ProxyError|SSLError", everything
    ):
        reason = "the packages could not be fetched: is there a network?"
    elif "(from versions: none)" in everything:
        reason = (
            "a package could not be fetched (no network?), or there is no ready-built one for this system"
        )
    elif "No matching distribution" in everything:
        reason = "there is no ready-built package for this system"
    else:
        errors = [line.strip() for line in lines if line.startswith("ERROR")]
        reason = "pip failed: " + (errors[-1] if errors else "it gave no reason")
    try:
        report.write_text(everything, encoding="utf-8")
    except OSError:
        return reason
    return f"{reason} (all that pip said: {report})"


def compile_beside(python: str, variables: Mapping[str, str]) -> None:
    """Compile the drying engine in the background, so that the first forecast need not wait for it.

    Nothing depends on it: a forecast asked for meanwhile compiles for itself.
    """
    command = [python, "-P", "-c", "from strandline.physics.warm import warm; warm()"]
    with contextlib.suppress(OSError):
        subprocess.Popen(
            command,
            env=dict(variables),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )


def move_scripts(half_made: Path, target: Path) -> None:
    """Let the scripts in bin/ name the place where the environment is going to be.

    On Windows they are programs with the path packed inside; those are left, and nothing here uses them.
    """
    passing, lasting = os.fsencode(half_made), os.fsencode(target)
    for file in Path(python_in(str(half_made))).parent.iterdir():
        if file.is_symlink() or not file.is_file():
            continue
        content = file.read_bytes()
        if passing in content and b"\0" not in content:
            file.write_bytes(content.replace(passing, lasting))
    settings = half_made / "pyvenv.cfg"
    settings.write_bytes(settings.read_bytes().replace(passing, lasting))


def put_in_place(half_made: Path, target: Path) -> None:
    """Give the environment its name, in one step."""
    if target.exists() and not is_whole(str(target)):
        discard(target)
    try:
        half_made.rename(target)
    except OSError as error:
        if not is_whole(str(target)):
            raise CannotStart(f"cannot rename {half_made} to {target}: {error.strerror}") from error


def clear_leftovers(place: Path) -> None:
    """Remove what a killed start left behind."""
    for pattern in (BUILDING, DISCARDED):
        for folder in place.glob(pattern + "*"):
            remove_tree(folder)


def clear_old(root: str, kind: str, place: Path) -> None:
    """Remove environments that this checkout made for an earlier lock, unless somebody still runs in them."""
    current = f"{PREFIX}{kind}-{lock_hash(root, kind)}-"
    for env in place.glob(f"{PREFIX}{kind}-*"):
        if env.name.startswith(current) or not made_for(env, root, place) or in_use(env):
            continue
        say(f"  removing {env.name}, which belonged to an earlier lock file")
        discard(env)


def made_for(env: Path, root: str, place: Path) -> bool:
    """Whether the environment is this checkout's; in a shared folder its stamp tells."""
    if place == Path(root):
        return True
    try:
        return root in (env / STAMP).read_text(encoding="utf-8").splitlines()
    except OSError:
        return False


def in_use(env: Path) -> bool:
    """Whether a running Strandline holds the environment (see envs.hold)."""
    if os.name == "nt":
        return False
    import fcntl  # not there on Windows

    try:
        with (env / STAMP).open("rb") as stamp:
            fcntl.flock(stamp, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False
    return False


def discard(env: Path) -> None:
    """Take a folder out of the way at once, then delete it at leisure."""
    aside = env.with_name(f"{DISCARDED}{os.getpid()}-{time.time_ns()}")
    try:
        env.rename(aside)
    except OSError as error:
        say(f"  could not move {env.name} out of the way ({error.strerror}); it can be deleted by hand")
        return
    remove_tree(aside)


def remove_tree(folder: Path) -> None:
    """Delete a folder as far as that goes; what is left is tried again before the next build."""
    shutil.rmtree(folder, ignore_errors=True)


def run_and_wait(command: Sequence[str], variables: Mapping[str, str]) -> int:
    """Run a program to its end; Ctrl-C is the program's to answer."""
    with subprocess.Popen(command, env=variables) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:
                continue
