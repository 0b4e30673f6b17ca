"""``strandline serve``: the record on pages, for this machine or for the phones on its network."""

from __future__ import annotations

import contextlib
import io
import logging
import logging.handlers
import secrets
import signal
import socket
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click
import segno

from strandline.cli.shared import UserError

PORT = 8317
MOST_BYTES = 32 * 1024 * 1024
"""Longest request: one photograph of the largest size with its form."""
THREADS = 8
LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""No letter of the code to begin with looks like a digit."""
LOG_BYTES, LOGS_KEPT = 2_000_000, 5


@click.command()
@click.option(
    "--practice",
    "folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="The practice folder (default: $STRANDLINE_PRACTICE, else Strandline in the home folder).",
)
@click.option("--lan", is_flag=True, help="Also for phones and laptops on this machine's network.")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="The port.")
def serve(folder: Path | None, lan: bool, port: int) -> None:
    """Open the record of a practice on pages.

    Without --lan only this machine can open them. Ctrl-C ends it, after a backup.
    """
    # The record needs Django, which the other commands do without: they start in a fraction of the time.
    from django.conf import settings

    from strandline.records.holding import hold
    from strandline.records.practice import PracticeError, make_folders, open_practice, practice_folder
    from strandline.records.rounds import Rounds
    from strandline.services import clock

    where = practice_folder(folder)
    names = own_names() if lan else []
    try:
        if make_folders(where):
            click.echo(f"Made {where}, which only you can read.")
        # Before the tables are looked at: nobody changes those of a record that is being served.
        lock = hold(where)
        opened = open_practice(where, datetime.now(UTC), hosts=tuple(names))
    except PracticeError as error:
        raise UserError(str(error)) from error
    keep_log(where / "log" / "strandline.log")
    code = begin_code()
    if (moment := clock.story_clock(where)) is not None:
        clock.run_from(moment)
        click.echo(f"This is a demo: its clock runs from {moment:%d %B %Y, %H:%M} UTC.")
    rounds = Rounds(opened)
    settings.ROUNDS = rounds
    for line in loose_ends():
        click.echo(line)
    server = listen("0.0.0.0" if lan else "127.0.0.1", port)
    end_politely()
    try:
        with contextlib.suppress(KeyboardInterrupt):  # the way to end it, from the first word on
            click.echo("\n".join(told(where, port, names, code)))
            rounds.start()
            server.run()
        server.close()
        server.task_dispatcher.shutdown()
    finally:
        click.echo("Stopping; a backup is made first.")
        rounds.stop()
        lock.release()


def begin_code() -> str:
    """A code for the first lead of a record nobody is in yet; '' where somebody is."""
    # As above: only commands of the record import Django, and tables only once the record is open.
    from django.conf import settings

    from strandline.records.models.people import Person

    if Person.objects.exists():
        return ""
    code = "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(2))
    settings.BEGIN_CODE = code
    return code


def loose_ends() -> list[str]:
    """A line for each override whose rule is no longer shipped: plans are made without it."""
    # As above: tables only once the record is open.
    from strandline.services.clock import now
    from strandline.services.withdraw_override import orphans

    return [f"Overruled, but gone: {one.target} ({one.level}): {why}" for one, why in orphans(now())]


def listen(host: str, port: int) -> Any:
    """The server, bound; UserError where the port is taken."""
    # As above; the server is only needed here.
    from django.core.wsgi import get_wsgi_application
    from waitress.server import create_server

    try:
        return create_server(
            get_wsgi_application(), host=host, port=port, threads=THREADS, ident="Strandline",
            max_request_body_size=MOST_BYTES, channel_timeout=60, clear_untrusted_proxy_headers=True,
        )  # fmt: skip
    except OSError as error:
        raise UserError(
            f"port {port} cannot be used: {error.strerror}; try --port {port + 1 if port < 65535 else PORT}"
        ) from error


def end_politely() -> None:
    """Let a polite kill end the program as Ctrl-C does; a second one changes nothing."""
    stopping = threading.Event()

    def stop(*_: object) -> None:
        if not stopping.is_set():
            stopping.set()
            raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, stop)


def told(folder: Path, port: int, names: list[str], code: str) -> list[str]:
    """What the window says."""
    lines = [f"Strandline: the record in {folder}", f"  on this machine   http://127.0.0.1:{port}/"]
    addresses = [name for name in names if name[0].isdigit()]
    if names and not addresses:
        lines.append("  no address on a network was found; ask the router, or try the names below")
    lines += [f"  on the network    http://{name}:{port}/" for name in names]
    if addresses:
        lines.append(picture(f"http://{addresses[0]}:{port}/"))
        lines.append("Plain http: whoever shares this network could listen. Use one of your own.")
    if code:
        lines.append(f"Nobody is in this record yet. The first page asks for this code: {code}")
    lines.append("Ctrl-C ends it.")
    return lines


def picture(address: str) -> str:
    """The address as a QR code in the window, for phones."""
    out = io.StringIO()
    segno.make(address, error="m").terminal(out, compact=True)
    return out.getvalue()


def own_names(connect: Callable[[], str] | None = None) -> list[str]:
    """Addresses and names under which the network knows this machine; nothing is sent to find out."""
    found: list[str] = []
    try:
        found.append((connect or outward)())
    except OSError:
        # No way out, as in a flooded house: the name of this machine may still be known to itself.
        with contextlib.suppress(OSError):
            found.append(socket.gethostbyname(socket.gethostname()))
    name = socket.gethostname().lower()
    found += [name, f"{name}.local"] if "." not in name else [name]
    return list(dict.fromkeys(one for one in found if not one.startswith("127.")))


def outward() -> str:
    """The address this machine would speak from; a datagram socket is only pointed, not used."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as pointed:
        pointed.connect(("192.0.2.1", 9))
        return str(pointed.getsockname()[0])


def keep_log(file: Path) -> None:
    """Write what goes wrong into the practice's own log."""
    keeper = logging.handlers.RotatingFileHandler(
        file, maxBytes=LOG_BYTES, backupCount=LOGS_KEPT, encoding="utf-8"
    )
    keeper.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    logging.getLogger().addHandler(keeper)
    logging.getLogger().setLevel(logging.WARNING)
