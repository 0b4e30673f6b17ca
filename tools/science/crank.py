"""The page on exact solutions of diffusion."""

from science_spec import Curve, Page

SHAPES = ("plane", "cylinder", "sphere")

PAGE = Page(
    title="Drying with a constant diffusivity, exactly",
    modules=("crank",),
    files=("crank.csv",),
    only=("crank",),
    intro=(
        "Series and roots for plane, cylinder and sphere. They are exact, so they are what the "
        "drying engine is checked against where its diffusivity is held constant.",
    ),
    curves=(
        Curve("crank.fraction_lost", "fourier"),
        Curve(
            "crank.root",
            "biot",
            title="First root of the condition at the surface",
            lines=tuple({"shape": shape, "n": 1} for shape in SHAPES),
        ),
        Curve("crank.first_coefficient", "biot"),
    ),
)
