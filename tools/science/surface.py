"""The page on the skin of air on a wet surface."""

from science_spec import Page

PAGE = Page(
    title="The skin of air on a wet surface",
    modules=("surface",),
    files=("surface.csv",),
    intro=(
        "What stands between a wet surface and the room: the thin layer of air through which vapour "
        "leaves and heat arrives, and how far the surface cools while it dries.",
    ),
)
