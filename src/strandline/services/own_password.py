"""Own password: somebody takes a new one for their own log-in."""

from __future__ import annotations

from django.contrib.auth.hashers import make_password

from strandline.records.models.acts import Act
from strandline.services.acting import Caller, Refused, Wanted, perform
from strandline.services.add_person import strong
from strandline.services.changes import Changes


class WrongPassword(Refused):
    """The old password is not right."""


def own_password(caller: Caller, old: str, new: str) -> Act:
    """Take a new password; neither enters the log.  Raises WrongPassword, Refused for a weak new one."""
    hashed = make_password(new)  # slow on purpose: not inside the transaction
    user = caller.person.user
    known = user is not None and user.check_password(old)

    def work(changes: Changes) -> None:
        if user is None or not known:
            raise WrongPassword("the old password is not right")
        strong(new, user)
        user.password = hashed
        user.save(update_fields=["password"])

    return perform(caller, Wanted("own_password", {}, None), work)
