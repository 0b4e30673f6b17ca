"""The page on rinsing and desalting."""

from science_spec import Page

PAGE = Page(
    title="Rinsing and desalting",
    modules=("rinsing", "conductivity"),
    files=("rinsing.csv", "conductivity.csv"),
    intro=(
        "How far baths and running water dilute what clings to an object, and how long what sits in "
        "its pores takes to come out.",
    ),
)
