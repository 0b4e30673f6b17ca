"""The page on water moving through wood."""

from science_spec import Curve, Page

PAGE = Page(
    title="Water moving through wood",
    modules=("diffusion",),
    files=("diffusion.csv",),
    intro=("The diffusivity of bound water across and along the grain, with moisture as the driving force.",),
    doubts=(
        "Forecasts take this law times a factor of the wood: measured for red oak (0.24 to 0.9, likely "
        "0.54), wider for the other oaks, else 0.25 to 2, likely 0.8.",
    ),
    curves=(
        Curve(
            "diffusion.transverse_diffusivity_m2_s",
            "moisture",
            title="Diffusivity across the grain, 20 °C, 500 kg/m³",
            lines=({"temp_c": 20, "basic_density_kg_m3": 500},),
        ),
    ),
)
