"""Ticks of the pages of one thing: as sent when a form comes back, otherwise as they stand."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.safestring import SafeString

register = template.Library()
CHECKED = SafeString(" checked")
NOT = SafeString("")


@register.simple_tag(takes_context=True)
def ticked(
    context: dict[str, Any], name: str, value: object, usual: object = False, only: str = "", is_: object = ""
) -> SafeString:
    """`` checked`` or nothing.  With ``only`` a form that came back counts only if that field is ``is_``."""
    typed = context.get("typed")
    if typed and (not only or typed.get(only) == str(is_)):
        return CHECKED if str(value) in typed.getlist(name) else NOT
    return CHECKED if usual else NOT
