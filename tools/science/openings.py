"""The page on openings."""

from science_spec import Page

PAGE = Page(
    title="Openings",
    modules=("openings",),
    files=("openings.csv",),
    intro=(
        "How much vapour passes a hole, a slit, a neck or a window: by diffusion, and because moist "
        "air is lighter than dry.",
    ),
)
