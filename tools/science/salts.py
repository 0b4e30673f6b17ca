"""The page on salts in pores."""

from science_spec import Page

PAGE = Page(
    title="Salts in pores",
    modules=("salts",),
    files=("salts.csv",),
    intro=(
        "At which humidity a salt takes water from the air, at which it crystallises, how much "
        "water it holds, and what that does to a reading of moisture.",
    ),
)
