"""The page on dehumidifiers."""

from science_spec import Page

PAGE = Page(
    title="Dehumidifiers",
    modules=("dehumidifier",),
    files=("dehumidifier.csv",),
    intro=(
        "What a machine takes out of the air at the air it works in, which is not the air it was rated in.",
    ),
)
