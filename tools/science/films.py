"""The page on sheets and bags."""

from science_spec import Page

PAGE = Page(
    title="Sheets and bags",
    modules=("films",),
    files=("films.csv",),
    intro=("How much vapour passes a film, and what that means for an object wrapped in it.",),
)
