"""Parts of addresses."""

from __future__ import annotations

from django.urls import register_converter


class CodeInPath:
    """The code of an incident in an address: capitals and digits, as on every tag."""

    regex = "[A-Z0-9]{2,12}"

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: str) -> str:
        """As it stands."""
        return value


register_converter(CodeInPath, "code")
CODE = "<code:code>"
"""How a route takes the code of an incident."""
