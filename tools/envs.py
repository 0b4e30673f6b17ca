"""Finds the environment that belongs to this checkout and runs a module in it.

Every start passes through here, so only modules that cost next to nothing are imported; what makes an
environment is in envbuild.py and is imported when there is none yet.

An environment is a folder `.venv-KIND-LOCK-PYTHON`: LOCK is a hash of the lock file, PYTHON names the
version and a hash of where that Python lives. A stamp file inside is written last, before the folder gets
its name, so a folder with a stamp is whole.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator, Sequence

STAMP = "strandline-stamp.txt"
PREFIX = ".venv-"
LOCKS = {"run": "requirements.lock", "test": "requirements-test.lock"}


class CannotStart(Exception):
    """There is no environment and none can be made; the text is one line for the person at the keyboard."""


def lock_hash(root: str, kind: str) -> str:
    """Ten hex digits for the content of the lock file, whatever line ends a checkout gave it."""
    path = os.path.join(root, LOCKS[kind])
    try:
        with open(path, "rb") as file:
            content = file.read()
    except OSError as error:
        raise CannotStart(f"cannot read {path}: {error.strerror}") from error
    return hashlib.sha256(content.replace(b"\r\n", b"\n")).hexdigest()[:10]


def python_tag() -> str:
    """Version of the running Python, and a hash of its home and build: an environment is tied to both."""
    machine = os.uname().machine if hasattr(os, "uname") else os.environ.get("PROCESSOR_ARCHITECTURE", "")
    build = "\n".join((sys.base_prefix, sys.implementation.cache_tag, getattr(sys, "abiflags", ""), machine))
    return f"py{sys.version_info[0]}{sys.version_info[1]}-{hashlib.sha256(build.encode()).hexdigest()[:6]}"


def env_name(root: str, kind: str) -> str:
    """Name of the folder that fits this lock and this Python."""
    return f"{PREFIX}{kind}-{lock_hash(root, kind)}-{python_tag()}"


def places(root: str) -> Iterator[str]:
    """Folders in which the environment may lie, best first; lazily, as the first one nearly always does."""
    chosen = os.environ.get("STRANDLINE_ENV_DIR")
    if chosen:
        yield os.path.abspath(os.path.expanduser(chosen))
        return
    yield root
    # Beside nobody else's: two checkouts must not clear away each other's environments.
    yield os.path.join(user_cache(), "env-" + hashlib.sha256(root.encode()).hexdigest()[:8])


def user_cache() -> str:
    """Where this system keeps what can be made again, for one user."""
    home = os.path.expanduser("~")
    if os.name == "nt":
        return os.path.join(os.environ.get("LOCALAPPDATA") or home, "strandline", "cache")
    if sys.platform == "darwin":
        return os.path.join(home, "Library", "Caches", "strandline")
    return os.path.join(os.environ.get("XDG_CACHE_HOME") or os.path.join(home, ".cache"), "strandline")


def python_in(env: str) -> str:
    """Path of the interpreter inside an environment."""
    return (
        os.path.join(env, "Scripts", "python.exe") if os.name == "nt" else os.path.join(env, "bin", "python")
    )


def is_whole(env: str) -> bool:
    """Whether the environment was finished and its Python is still there."""
    return os.path.isfile(os.path.join(env, STAMP)) and os.path.exists(python_in(env))


def find(root: str, kind: str) -> str | None:
    """Return the environment that fits, or None when it has to be made first."""
    name = env_name(root, kind)
    for place in places(root):
        env = os.path.join(place, name)
        if is_whole(env):
            return env
    return None


def find_or_make(root: str, kind: str) -> str:
    """Return the environment that fits, making it if need be. Raises CannotStart."""
    env = find(root, kind)
    if env is None:
        import envbuild  # only a first start pays for subprocess, venv and shutil

        env = envbuild.make(root, kind)
        if kind == "run":
            envbuild.compile_beside(python_in(env), environment_for(root))
    return env


def hold(env: str) -> None:
    """Mark the environment as in use until this process, or what replaces it, ends.

    A shared lock on the stamp; whoever clears away old environments asks for a sole one first.
    Windows needs none: there a folder with a running program in it cannot be renamed.
    """
    if os.name == "nt":
        return
    import fcntl  # not there on Windows

    try:
        handle = os.open(os.path.join(env, STAMP), os.O_RDONLY)
        fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except OSError:
        return  # a disk without locks: the environment is then not guarded, and works as well
    os.set_inheritable(handle, True)


def compiled_folder() -> str:
    """Where compiled modules go when they cannot lie beside the source; empty if nowhere.

    Without it each start from a checkout that cannot be written to would compile our modules anew.
    """
    folder = os.path.join(user_cache(), "compiled")
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError:
        return ""
    return folder if os.access(folder, os.W_OK) else ""


def environment_for(root: str) -> dict[str, str]:
    """Variables for a Python of ours: our source, none of the caller's modules, one cache for numba."""
    variables = dict(os.environ)
    for name in ("PYTHONHOME", "__PYVENV_LAUNCHER__"):
        variables.pop(name, None)
    source = os.path.join(root, "src")
    variables["PYTHONPATH"] = source
    if not os.access(os.path.join(source, "strandline"), os.W_OK) and "PYTHONPYCACHEPREFIX" not in variables:
        compiled = compiled_folder()
        if compiled:
            variables["PYTHONPYCACHEPREFIX"] = compiled
    if "NUMBA_CACHE_DIR" not in variables and (compiled := compiled_folder()):
        variables["NUMBA_CACHE_DIR"] = os.path.join(compiled, "numba")
    return variables


def run_module(root: str, env: str, module: str, arguments: Sequence[str]) -> int:
    """Replace this process by `python -m MODULE`; on Windows run it and return its exit code."""
    python = python_in(env)
    variables = environment_for(root)
    # -P: the folder one happens to stand in is no place to import from.
    if os.name == "nt":
        import envbuild  # exec on Windows returns to the shell before the program ends

        return envbuild.run_and_wait([python, "-P", "-X", "utf8", "-m", module, *arguments], variables)
    hold(env)
    os.execve(python, [python, "-P", "-m", module, *arguments], variables)


def main(root: str, arguments: Sequence[str]) -> int:
    """Run the command line with these arguments; 2 when there is no environment and none can be made."""
    try:
        return run_module(root, find_or_make(root, "run"), "strandline", arguments)
    except CannotStart as problem:
        sys.stderr.write(f"strandline: {problem}\n")
        return 2
    except KeyboardInterrupt:
        sys.stderr.write("strandline: stopped. Nothing is left half done; the next start goes on.\n")
        return 130
