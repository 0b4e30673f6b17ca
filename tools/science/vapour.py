"""The page on vapour through still air."""

from science_spec import Curve, Page

PAGE = Page(
    title="Vapour through still air",
    modules=("vapour",),
    files=("vapour.csv",),
    intro=(
        "How fast water vapour spreads in air that does not move: the forms that building physics, "
        "chemical engineering and meteorology use, side by side.",
    ),
    curves=(
        Curve(
            "vapour.diffusivity_schirmer_m2_s",
            "temp_c",
            title="Diffusivity of vapour in air, the form of building physics (Schirmer)",
        ),
        Curve(
            "vapour.diffusivity_marrero_mason_m2_s",
            "temp_c",
            title="Diffusivity of vapour in air, chemical engineering (Marrero and Mason)",
        ),
        Curve(
            "vapour.diffusivity_massman_m2_s",
            "temp_c",
            title="Diffusivity of vapour in air, meteorology (Massman)",
        ),
    ),
)
