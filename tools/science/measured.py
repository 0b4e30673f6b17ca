"""The page on what was measured."""

from science_spec import Page

PAGE = Page(
    title="Against measurements",
    modules=(),
    files=("measured.csv", "measured_curves.csv"),
    intro=(
        "What others measured on real pieces, beside what the models say of them. Here a model may "
        "miss: wood differs from tree to tree, and a gap of a factor of two is told, not mended.",
    ),
)
