"""Bodies, questions and forecasts for tests, made up: no number of them is a result."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from strandline.things.drying import (
    Assumption,
    Band,
    CoverState,
    DryingForecast,
    DryingQuestion,
    Flag,
    Gap,
    MouldForecast,
    Reached,
    Series,
    StrainAgainst,
    Stretch,
    WetBody,
)

QUESTION = DryingQuestion((Stretch(240.0, 12.0, 0.6), Stretch(720.0, 9.0, 0.7)), 30.0, 0.62)
COVER = CoverState("pe_50", 1.5, None, (Gap("hole", 6.0, 6.0, "side", 4), Gap("slit", 100.0, 5.0, "top", 1)))
BODY = WetBody(
    tag="0043", title="Long bench", part="p1", kind="beech", kind_words="beech", known_by="family",
    shape="plane", thickness_mm=45.0, width_mm=310.0, length_mm=2400.0, under_water_h=12.5, out_h=0.5,
    surfaces=("sewage_wet", "soiled", "unrinsed"), cover=COVER,
)  # fmt: skip
HOURS = (0.0, 24.0, 240.0, 720.0)


def bands(*mids: float) -> tuple[Band, ...]:
    """Bands of a tenth around some values."""
    return tuple((0.9 * mid, mid, 1.1 * mid) for mid in mids)


def forecast_of(body: WetBody = BODY, question: DryingQuestion = QUESTION) -> DryingForecast:
    """A forecast with something in every field."""
    falling = bands(0.6, 0.5, 0.25, 0.12)
    return DryingForecast(
        body=body,
        model="engine",
        kind_name="one of 2 woods",
        series=Series(
            HOURS, falling, bands(1.0, 0.3, 0.15, 0.11), bands(0.9, 0.8, 0.66, 0.6),
            bands(0.9, 0.8, 0.7, 0.6),
            bands(0.0, 0.005, 0.004, 0.001), bands(1600.0, 1500.0, 1250.0, 1120.0),
        ),
        target=Reached(question.target_rh, (0.11, 0.12, 0.13), (288.0, 456.0, 744.0), 0.97),
        strain=(
            StrainAgainst("yield_0.004", 0.004, (0.9, 1.3, 1.9), (10.0, 24.0, 50.0), 0.83, "for aged things"),
            StrainAgainst("warning_0.009", 0.009, (0.4, 0.58, 0.84), (10.0, 24.0, 50.0), 0.0, "a warning"),
            StrainAgainst("kiln_envelope", 1.0, (1.1, 1.2, 1.3), (10.0, 24.0, 50.0), 1.0, "harsher"),
        ),
        mould=MouldForecast(
            "pine_resawn", (0.1, 0.5, 1.8), (0.2, 0.6, 2.1), (90.0, 200.0, 400.0), 0.6, True, 0.25,
            "above 75 % for 30 h beyond 48 h from emergence",
        ),
        start_moisture=(0.5, 0.6, 0.7),
        numbers={"diffusivity_factor": (0.5, 1.0, 2.0)},
        assumed=tuple(
            Assumption(f"thing_{n}", f"{n} mm", "a reason", ("siau-1984",) if n else (), "m" if n else "c")
            for n in range(5)
        ),
        flags=(Flag("sapwood", "sapwood dries faster"), Flag("untried", "never tried on a real object")),
        sources=("siau-1984", "wood-handbook-2010"),
    )  # fmt: skip


def fake_forecast(bodies: Sequence[WetBody], question: DryingQuestion) -> Iterator[DryingForecast]:
    """Stands in for the engine: the same answer for every body."""
    for body in bodies:
        yield forecast_of(body, question)


def without_mould_and_strain(forecast: DryingForecast) -> DryingForecast:
    """As a body of pores is answered."""
    return replace(forecast, model="two_stage", strain=(), mould=None)
