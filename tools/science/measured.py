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
    doubts=(
        "The rows of diffusivity stand beside the plain law. The drying times are those of the product: the "
        "law times the middle factor measured on the wood, on another of its genus, or the general one. Red "
        "oak's factor comes from a fit of 1979 to other kiln runs, so the times of oak are predictions.",
        "Kiln times of oak are 0.8 to 1.4 times ours, of beech and yellow poplar, which nobody measured, "
        "1.6 and 2.5 times. In open air boards take longer still: 1.7 to 6.6 times. "
        "Nights, winters and the damp air within a stack are not reckoned, "
        "and the law for bound water is held above fibre saturation.",
        "Doubling the thickness of red oak takes four and a half times as long here and two and a half in "
        "practice: real boards are not uniform, and their ends and cracks count.",
        "The second stage was measured for six stones only, and those numbers are now in the data; all "
        "other porous bodies are left to vapour alone. Of two measurements of brick one agrees with that, "
        "and one is far faster.",
    ),
)
