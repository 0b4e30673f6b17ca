"""How hypothesis draws: the same examples each time, unless ./check --explore asks for others."""

from hypothesis import settings

# No deadline: a busy machine must not fail a test.
settings.register_profile("steady", derandomize=True, deadline=None, database=None, print_blob=True)
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile("steady")
