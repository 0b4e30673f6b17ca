"""The page on enclosures."""

from science_spec import Page

PAGE = Page(
    title="Enclosures",
    modules=("enclosure",),
    files=("enclosure.csv",),
    intro=(
        "The humidity inside a box, a bag or a tent: what the object gives, what a buffer takes, what leaks.",
    ),
)
