"""The page on moist air."""

from science_spec import Page

PAGE = Page(
    title="Moist air",
    modules=("air",),
    files=("air.csv",),
    intro=(
        "What the air of a room holds and what its readings say about each other: vapour pressure, "
        "humidity ratio, dew point, wet bulb, heat content.",
        "Everything else on these pages that speaks of humidity rests on it.",
    ),
)
