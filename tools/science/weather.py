"""The page on years of measured weather."""

from science_spec import Page

PAGE = Page(
    title="A year of measured weather",
    modules=(),
    files=("weather.csv",),
    intro=(
        "Hours of real weather, as an open data set holds them, run through the models of moist air, "
        "wetness and mould.",
    ),
    most_charts=0,
)
