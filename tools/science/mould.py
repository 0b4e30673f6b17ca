"""The page on mould."""

from science_spec import Curve, Page

PAGE = Page(
    title="Mould",
    modules=("mould",),
    files=("mould.csv",),
    intro=(
        "How far mould has come on a surface in moist air: the critical humidity, the days to the "
        "first growth, and the index of growth over a course of weather.",
    ),
    curves=(
        Curve("mould.critical_rh", "temp_c"),
        Curve(
            "mould.constant",
            "days",
            title="Index of mould in air that stays as it is, 20 °C and 97 %",
            lines=tuple(
                {"surface": surface, "temp_c": 20, "rh": 0.97}
                for surface in ("very_sensitive", "sensitive", "medium_resistant", "resistant")
            ),
            y_title="mould index [–]",
            low=0.0,
        ),
        Curve("mould.weeks_to_first", "rh", lines=({"temp_c": 20},)),
        Curve("mould.weeks_to_visible", "rh", lines=({"temp_c": 20},)),
    ),
)
