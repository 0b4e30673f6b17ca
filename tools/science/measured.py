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
        "Published drying times of boards are missed on the fast side: kiln runs by about two, sugar maple "
        "in open air by four. The diffusivity above fibre saturation is the likeliest reason.",
        "Doubling the thickness of red oak takes four and a half times as long here and two and a half in "
        "practice: real boards are not uniform, and their ends and cracks count.",
        "Stone dries far faster in its second stage than vapour alone carries: liquid films are left out.",
    ),
)
