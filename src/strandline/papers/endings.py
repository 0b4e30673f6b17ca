"""How a step ends: done, done differently, not done and why.  Marked with a tick, a D or a number."""

from __future__ import annotations

from strandline.papers.wording import _


def endings() -> dict[str, str]:
    """The two lines that explain the boxes.  A number is enough for "not done"."""
    reasons = (
        _("no time"),
        _("no water"),
        _("danger"),
        _("refused by owner"),
        _("lead said no"),
        _("it would not bear it"),
        _("not found"),
    )
    numbered = " · ".join(f"{number} {reason}" for number, reason in enumerate(reasons, start=1))
    return {
        "done": _("In the box: tick = done · D = done differently · ? = not sure"),
        "not_done": _("Not done because: {reasons}").format(reasons=numbered),
    }
