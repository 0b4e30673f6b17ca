"""The page on wood: size, mass and water."""

from science_spec import Page

PAGE = Page(
    title="Wood: size, mass and water",
    modules=("wood",),
    files=("wood.csv", "timbers.csv"),
    intro=(
        "Fibre saturation, shrinkage by direction, densities on their several bases, and how much "
        "water a piece of wood can hold.",
    ),
)
