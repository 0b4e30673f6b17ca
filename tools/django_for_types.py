"""Settings for the type checker, which needs a module to import; the program builds its own in code."""

from strandline.records.settings import base_settings

globals().update(base_settings({"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}, "types only"))
