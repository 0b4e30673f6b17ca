"""The page on kiln schedules."""

from science_spec import Page

PAGE = Page(
    title="Kiln schedules",
    modules=("kiln",),
    files=("kiln.csv", "drying_times.csv"),
    intro=(
        "Published schedules for boards, read as an envelope: air that dries a surface harder than "
        "the schedule of its species would is harsher than what sound boards have been shown to "
        "bear.",
    ),
)
