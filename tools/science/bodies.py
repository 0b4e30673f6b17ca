"""The page on bodies of three dimensions."""

from science_spec import Page

PAGE = Page(
    title="Boxes and short cylinders",
    modules=("shapes",),
    files=("shapes.csv", "crank.csv"),
    only=("shapes",),
    intro=(
        "Bodies of three dimensions, put together from bodies of one: what is left of the water "
        "multiplies over the directions. It tells through which faces a piece dries.",
    ),
)
