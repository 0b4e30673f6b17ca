"""How fast pages come: measured against a server of its own, kept as docs/evidence/pages.json.

    python benchmarks/pages.py                 10,000 objects
    python benchmarks/pages.py --objects 1000

Run it with the Python of the environment Strandline runs in.  Each page is asked for by one client alone;
then again while eight others each ask for a page a second and another program ends a step a second in the
same record.  Nothing here is a test: times depend on the machine and on what else runs there.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import random
import re
import socket
import statistics
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from machine import ROOT, code_sha256, machine, today

from strandline.records.settings import settings_for
from strandline.records.setup import start

EVIDENCE = ROOT / "docs" / "evidence" / "pages.json"
MEASURED = ("services", "web", "records", "workplan", "things")
"""Packages under src/strandline on which pages depend most; their code is hashed."""
THREADS, BESIDE = 8, 8
ROUNDS, WARM = 100, 5
SEED = 1
KEY = "a key for measuring only, of fifty characters or so"
WORDS: tuple[str, ...] = (
    "oak",
    "chest",
    "rope",
    "brass bell",
    "iron",
    "00",
    "004",
    "0123",
    "painted",
    "tin box",
)
Page = Callable[[random.Random, int], str]
PAGES: dict[str, Page] = {
    "now": lambda _draw, _count: "/ORNL1/",
    "order": lambda draw, _count: f"/ORNL1/order/?page={draw.randint(1, 9)}",
    "order, mine": lambda _draw, _count: "/ORNL1/order/?mine=yes",
    "order, one room": lambda draw, _count: f"/ORNL1/order/?place={draw.randint(1, 6)}",
    "thing": lambda draw, count: f"/ORNL1/things/{draw.randint(1, count):04d}/",
    "find": lambda draw, _count: f"/ORNL1/find/?q={draw.choice(WORDS).replace(' ', '+')}",
}


HELPERS: frozenset[str] = frozenset({"order, mine"})
"""Pages a helper asks for; the others are the lead's, whose pages say more."""


def percentiles(times_s: list[float]) -> dict[str, float | int]:
    """Milliseconds: the median, the one that 95 of 100 keep below, and the longest."""
    ranked = sorted(times_s)
    cut = statistics.quantiles(ranked, n=20, method="inclusive")[-1]
    found = {"p50_ms": statistics.median(ranked), "p95_ms": cut, "most_ms": ranked[-1]}
    return {**{name: round(1000 * value, 1) for name, value in found.items()}, "requests": len(ranked)}


class Browser:
    """Asks for pages as somebody who is signed in."""

    def __init__(self, port: int, cookie: str) -> None:
        self._port, self._cookie = port, cookie
        self._line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)

    def get(self, path: str) -> float:
        """Seconds until the whole page was there; SystemExit for anything but a page."""
        begun = time.perf_counter()
        self._line.request("GET", path, headers={"Cookie": self._cookie})
        answer = self._line.getresponse()
        answer.read()
        spent = time.perf_counter() - begun
        if answer.status != 200:
            raise SystemExit(f"{path} gave {answer.status}")
        return spent


def measure(browsers: list[Browser], count: int, pid: int) -> dict[str, Any]:
    """Every page in turn, many times: so that what changes by the minute falls on all of them.

    ``server_cpu``: what the server's threads computed meanwhile, which other programs on the machine do not
    lengthen; alone it is the page's own.
    """
    draw = random.Random(SEED)
    times: dict[str, list[float]] = {name: [] for name in PAGES}
    cpu: dict[str, list[float]] = {name: [] for name in PAGES}
    for n in range(WARM + ROUNDS):
        for name, page in PAGES.items():
            before_s = cpu_s(pid)
            spent = browsers[-1 if name in HELPERS else 0].get(page(draw, count))
            if n >= WARM:
                times[name].append(spent)
                cpu[name].append(cpu_s(pid) - before_s)
    return {name: {**percentiles(times[name]), "server_cpu": percentiles(cpu[name])} for name in PAGES}


def cpu_s(pid: int) -> float:
    """Seconds the threads of a process have computed so far."""
    tasks = Path(f"/proc/{pid}/task").glob("*/schedstat")
    return sum(int(task.read_text(encoding="utf-8").split()[0]) for task in tasks) / 1e9


@contextmanager
def others(port: int, cookies: list[str], count: int) -> Iterator[list[float]]:
    """Others who each ask for a page a second; their times are gathered as well."""
    over, times = threading.Event(), list[float]()

    def walk(n: int) -> None:
        draw, browser = random.Random(n), Browser(port, cookies[n % len(cookies)])
        while not over.wait(draw.uniform(0.7, 1.3)):
            times.append(browser.get(draw.choice(list(PAGES.values()))(draw, count)))

    walkers = [threading.Thread(target=walk, args=(n,)) for n in range(BESIDE)]
    for walker in walkers:
        walker.start()
    try:
        yield times
    finally:
        over.set()
        for walker in walkers:
            walker.join()


@contextmanager
def program(*arguments: str) -> Iterator[subprocess.Popen[str]]:
    """This file in a process of its own, until it is no longer wanted."""
    command = [sys.executable, str(Path(__file__).resolve()), *arguments]
    running = subprocess.Popen(command, text=True)
    try:
        yield running
    finally:
        running.terminate()
        running.wait(30)


def wait_for(port: int) -> None:
    """Until the server listens."""
    for _ in range(300):
        with socket.socket() as line:
            if line.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise SystemExit("the server did not start")


def memory_mb(pid: int) -> dict[str, float]:
    """Memory of a process, now and at most, in MB."""
    text = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    found = dict(re.findall(r"^(VmRSS|VmHWM):\s+(\d+) kB", text, re.MULTILINE))
    return {"now": round(int(found["VmRSS"]) / 1024, 1), "most": round(int(found["VmHWM"]) / 1024, 1)}


def open_folder(folder: Path) -> None:
    """Start Django on the record in a folder."""
    start(settings_for(folder, KEY, None, ("127.0.0.1",)))


def serve(folder: Path, port: int) -> None:
    """The server that is measured."""
    from django.core.wsgi import get_wsgi_application  # Django must be started first
    from waitress import serve as run  # Django must be started first

    open_folder(folder)
    run(get_wsgi_application(), host="127.0.0.1", port=port, threads=THREADS)


def work(folder: Path) -> None:
    """Another program that ends a step a second."""
    open_folder(folder)
    from strandline.records.models.objects import Object  # Django must be started first
    from strandline.records.models.people import Person  # Django must be started first
    from strandline.services.acting import Caller  # Django must be started first
    from strandline.services.end_step import end_step  # Django must be started first

    person, draw = Person.objects.get(role="conservator"), random.Random(SEED)
    keys = list(Object.objects.exclude(next_step="").values_list("pk", flat=True))
    while True:
        thing = Object.objects.select_related("plan").get(pk=draw.choice(keys))
        caller = Caller(person, uuid.uuid4(), datetime.now(UTC))
        if thing.plan is not None and thing.next_step:
            end_step(caller, thing.plan, thing.next_step, "done")
        time.sleep(1.0)


def make(folder: Path, count: int) -> list[str]:
    """The record, in this process; gives the cookie of each person in it."""
    open_folder(folder)
    from record_of import ROLES, fill  # Django must be started first

    fill(folder, count, SEED)
    from django.contrib.auth import SESSION_KEY  # Django must be started first
    from django.contrib.auth.models import User  # Django must be started first
    from django.test import Client  # Django must be started first

    cookies = []
    for role in ROLES:
        client = Client()
        client.force_login(User.objects.get(username=role))
        assert client.session[SESSION_KEY]
        cookies.append("; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items()))
    return cookies


def measured(count: int) -> dict[str, Any]:
    """Everything about a record of so many objects."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        cookies = make(folder, count)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = int(free.getsockname()[1])
        with program("--serve", str(folder), str(port)) as server:
            wait_for(port)
            browsers = [Browser(port, cookie) for cookie in cookies]
            empty = memory_mb(server.pid)
            first_s = browsers[0].get("/ORNL1/order/")
            alone = measure(browsers, count, server.pid)
            with others(port, cookies, count) as theirs, program("--work", str(folder)):
                beside = measure(browsers, count, server.pid)
            return {
                "objects": count,
                "record_mb": round(sum(one.stat().st_size for one in folder.iterdir()) / 1024**2),
                "first_order_ms": round(1000 * first_s, 1),
                "alone": alone,
                "eight_beside": beside,
                "the_eight": percentiles(theirs),
                "memory_mb": {"at_start": empty["now"], **memory_mb(server.pid)},
            }


def main(arguments: list[str]) -> None:
    """Measure and keep the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--objects", type=int, default=10_000, metavar="N", help="objects in the record")
    parser.add_argument("--serve", nargs=2, help=argparse.SUPPRESS)
    parser.add_argument("--work", nargs=1, help=argparse.SUPPRESS)
    given = parser.parse_args(arguments)
    if given.serve:
        serve(Path(given.serve[0]), int(given.serve[1]))
    elif given.work:
        work(Path(given.work[0]))
    else:
        found = {
            "date": today(), "code_sha256": code_sha256(MEASURED), "machine": machine(),
            "load_before": round(os.getloadavg()[0], 1), "threads": THREADS, **measured(given.objects),
        }  # fmt: skip
        EVIDENCE.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
