"""The page on the drying engine."""

from science_spec import Curve, Page

PAGE = Page(
    title="The drying engine",
    modules=("engine", "coupled", "diffusivity", "grid", "lanes", "lanes_run", "lanes_table"),
    files=("nonlinear.csv", "coupled.csv"),
    intro=(
        "Drying with a diffusivity that follows moisture and temperature, behind a skin of air, in "
        "a room that changes. It is checked against the exact solutions, and against solvers that "
        "share no code with it.",
    ),
    curves=(
        Curve(
            "nonlinear.mean_moisture",
            "hours",
            title="Mean moisture of bodies that dry",
            lines=({"shape": "plane", "surface": 0.12}, {"shape": "cylinder"}, {"shape": "sphere"}),
            labels=("plane", "cylinder", "sphere"),
            steps=13,
        ),
    ),
)
