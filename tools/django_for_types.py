"""Settings for the type checker, which needs a module to import; the program builds its own in code."""

from pathlib import Path

from strandline.records.settings import base_settings

MEMORY = {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}
globals().update(base_settings(MEMORY, "types only", Path("photos-and-papers")))
PRACTICE_FOLDER = Path("photos-and-papers")
