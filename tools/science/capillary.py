"""The page on porous stone, brick and pottery."""

from science_spec import Page

PAGE = Page(
    title="Porous stone, brick and pottery",
    modules=("porous", "capillary"),
    files=(
        "porous.csv",
        "capillary.csv",
    ),
    intro=(
        "How much water pores take up and how fast, how strongly they hold it, and how it leaves them: first "
        "from a wet face, then from a front behind a dry rim, which vapour crosses alone or with water that "
        "creeps along the pores.",
    ),
)
