"""The page on metals in contact."""

from science_spec import Page

PAGE = Page(
    title="Metals in contact",
    modules=("couples",),
    files=("couples.csv",),
    intro=(
        "Which of two metals that touch in the wet suffers, and whether their difference is one "
        "that practice allows.",
    ),
)
