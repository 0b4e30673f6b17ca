"""The page on drying strain."""

from science_spec import Page

PAGE = Page(
    title="Drying strain",
    modules=("strain", "lanes_strain", "schedule_run"),
    files=("strain.csv",),
    intro=(
        "How far the layers of a drying section are held back from shrinking as they would alone, "
        "with the relief that drying itself and time bring.",
    ),
)
