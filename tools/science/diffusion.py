"""The page on water moving through wood."""

from science_spec import Curve, Page

PAGE = Page(
    title="Water moving through wood",
    modules=("diffusion",),
    files=("diffusion.csv",),
    intro=("The diffusivity of bound water across and along the grain, with moisture as the driving force.",),
    curves=(
        Curve(
            "diffusion.transverse_diffusivity_m2_s",
            "moisture",
            title="Diffusivity across the grain, 20 °C, 500 kg/m³",
            lines=({"temp_c": 20, "basic_density_kg_m3": 500},),
        ),
    ),
)
