"""The page on water held by organic bodies."""

from science_spec import Page

PAGE = Page(
    title="Water held by organic bodies",
    modules=(
        "sorption",
        "isotherm",
    ),
    files=("sorption.csv", "isotherm.csv", "bodies.csv"),
    intro=(
        "How much water wood and other organic bodies hold in air of a given humidity, and the way "
        "back from a moisture content to the humidity it belongs to.",
    ),
)
