"""The page on condensation."""

from science_spec import Page

PAGE = Page(
    title="Condensation",
    modules=("condensation",),
    files=("condensation.csv",),
    intro=(
        "Where vapour turns to water on cold glass, metal and objects, how much of it, and how warm "
        "a surface has to be kept.",
    ),
)
