"""One of several programs that act on one record at once; tests/services/test_at_once.py starts them.

    python -m tests.services.at_once FOLDER ADDRESS make | send SEED COUNT | tell

``send`` prints each key once its act is acknowledged; ``tell`` prints what the record holds.
"""

import json
import random
import sys
import uuid
from pathlib import Path

from django.core.management import call_command

from strandline.records.settings import settings_for
from strandline.records.setup import start

folder, address, task, *numbers = sys.argv[1:]
start(settings_for(Path(folder), "a key for tests only", address or None))

from strandline.records.models.acts import Act  # noqa: E402 - after Django has its settings
from strandline.records.models.objects import Object  # noqa: E402 - as above
from strandline.services.fold import differences  # noqa: E402 - as above
from strandline.services.observe import observe  # noqa: E402 - as above
from tests.records.cast import helper  # noqa: E402 - as above
from tests.services.doing import by, received  # noqa: E402 - as above


def make() -> None:
    """Tables, and one chest."""
    call_command("migrate", verbosity=0)
    received()


def send(seed: int, count: int) -> None:
    """So many observations; programs with the same seed send the same acts under the same keys."""
    draws = random.Random(seed)
    thing = Object.objects.get()
    for number in range(count):
        key = uuid.UUID(int=draws.getrandbits(128), version=4)
        observe(by(helper(), key), thing, "mass_g", 800 + number, "measured", None)
        sys.stdout.write(f"{key}\n")
        sys.stdout.flush()


def tell() -> None:
    """Keys in the log, revision of the chest, where log and tables differ."""
    keys = [str(key) for key in Act.objects.filter(kind="observe").values_list("key", flat=True)]
    told = {"keys": keys, "revision": Object.objects.get().revision, "differences": differences()}
    sys.stdout.write(json.dumps(told))


{"make": make, "tell": tell, "send": lambda: send(*map(int, numbers))}[task]()
