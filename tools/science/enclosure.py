"""The page on covers."""

from science_spec import Page

PAGE = Page(
    title="Covers",
    modules=("enclosure",),
    files=("enclosure.csv",),
    intro=(
        "The humidity under a cover: what the thing in it gives off, what its sheet and its openings pass.",
    ),
)
