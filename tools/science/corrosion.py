"""The page on corrosion."""

from science_spec import Page

PAGE = Page(
    title="Corrosion",
    modules=("corrosion",),
    files=("corrosion.csv",),
    intro=(
        "Time of wetness, classes of corrosivity, and the loss of metal in a first year outdoors; "
        "and what is known of rust in the first hours.",
    ),
)
