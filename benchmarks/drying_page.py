"""The section on drying of docs/benchmarks.md from the figures kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

Kept = Mapping[str, Any]

INTRO = """
## Drying

How quick and how exact the drying engine is. Bodies are drawn from a seed: wood, leather and bone in rounded
numbers, 1 to 40 mm of half thickness, at 10 to 30 °C, behind openings of 0.02 to 3 mm/s. Where climates
change, half the rooms swing by the day, and a third of the bodies change their cover and temperature once.
Times are the least of {runs} runs after warming up, with the one in the middle in brackets. Figures are kept
in [evidence/drying.json](evidence/drying.json), with a hash of the code they were measured on.

```sh
python benchmarks/drying.py
```

{date}, {processor}, {cores} cores, {memory_gb} GB, {system}, Python {python}; code {code}; load at the start
{load_first}, at the end {load_last}.
"""

LIMITS = """
What limits it:

* **The processor.** What one vertex asks for in one step of four stages was counted, and each kind of work
  measured alone on the same machine: divisions, multiply-adds, additions, and transport to and from the
  second-level cache, in which the table of 32 bodies lies. If all kinds overlapped, a step could take no
  less than the largest of them; if none did, it would take their sum.
* **The tolerance** holds for a step, not for the course: fast changes that a long step goes over are
  underrated up to fourfold by the method's own estimate, which shows in thin bodies whose room swings by the
  day.
* **The cells**: the error falls with their square. Spheres are worst, their outermost cells holding most.
* **Strain** asks for a closer tolerance than moisture, and for 48 cells on the steeper grid.
* **One room**: humidity is a line between knots three hours apart. A room that starts far from where the
  bodies take it is off in the first hours; shorter knots mend that.
"""


def drying_section(found: Kept) -> str:
    """The section as Markdown."""
    on, load = found["machine"], found["load"]
    head = INTRO.format(
        runs=7,
        date=found["date"],
        code=found["code_sha256"][:12],
        load_first=load[0],
        load_last=load[1],
        **on,
    )
    parts = [head, *_speed(found), *_scipy(found["against_scipy"]), *_accuracy(found)]
    return "\n".join(parts) + "\n" + LIMITS


def _table(*columns: str) -> str:
    return f"| {' | '.join(columns)} |\n|{'---|' * len(columns)}"


def _line(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def _s(spent: Mapping[str, float]) -> str:
    return f"{spent['least']:.3g} s ({spent['median']:.3g} s)"


def _speed(found: Kept) -> Iterator[str]:
    speed, room = found["speed"], found["one_room"]
    yield _table("what", "figure")
    for tolerance in ("0.001", "0.0001"):
        one = speed[f"tolerance {tolerance}"]
        what = f"{speed['bodies']:,} bodies, {speed['cells']} cells, 30 days, tolerance {tolerance}"
        yield _line(f"{what}, {speed['threads']} threads", _s(one["all_cores_s"]))
        yield _line(f"{what}, one thread", f"{_s(one['one_core_s'])}; {one['steps_per_body']} steps a body")
    swing = speed["climates_that_change"]
    yield _line(
        "the same at tolerance 0.0001 in climates that change, all threads",
        f"{_s(swing['all_cores_s'])}; {swing['steps_per_body']} steps a body",
    )
    yield _line("making the arrays for so many", _s(speed["making_the_arrays_s"]))
    bound = speed["bound"]
    yield _line("one cell and step", f"{speed['tolerance 0.0001']['ns_per_cell_and_step']} ns")
    yield _line(
        "bound of that, measured",
        f"{bound['largest_ns']:.2f} ns if all overlapped, {bound['sum_ns']:.2f} ns if nothing did: divisions "
        f"{bound['divisions_ns']:.2f}, multiply-adds {bound['multiply_adds_ns']:.2f}, additions "
        f"{bound['additions_ns']:.2f}, transport {bound['accesses_ns']:.2f}; ours is "
        f"{speed['times_the_largest']} times the one, {speed['times_the_sum']} times the other",
    )
    for name, one in found["first_call"].items():
        yield _line(
            f"first forecast of a process, {name}",
            f"{one['loading_s']} s to load, {one['first_forecast_s']} s for the forecast",
        )
    yield _line(f"{room['bodies']:,} bodies in one room, 30 days, all threads", _s(room["all_cores_s"]))
    yield _line(
        "error of that against knots of half an hour",
        f"moisture {room['moisture_error']:.1e} kg/kg; humidity "
        f"{room['humidity_error_first_12_h']:.1e} in the first 12 h, {room['humidity_error_later']:.1e} "
        f"later; balance of an interval {room['unbalanced_kg']:.1e} kg of {room['given_kg']:.0f} kg in all",
    )


def _scipy(found: Kept) -> Iterator[str]:
    yield (
        f"\nAgainst SciPy on one core, the same 41 vertices and cover, {found['bodies']} bodies in "
        f"rooms that stay as they are (ours with {found['copies']} copies of each, so that lanes are full); "
        "errors of the daily mean against 320 cells:\n"
    )
    yield _table("how", "greatest error (kg/kg)", "a body")
    for one in found["ours"]:
        yield _line(
            f"ours, tolerance {one['tolerance']:g}", f"{one['max_error']:.1e}", f"{one['us_per_body']:.1f} µs"
        )
    for one in found["scipy"]:
        yield _line(
            f"{one['variant']}, rtol {one['rtol']:g}",
            f"{one['max_error']:.1e}",
            f"{one['us_per_body']:,.0f} µs",
        )
    for name in ("BDF", "LSODA"):
        best = found["at_equal_accuracy"][name]
        if "times_ours" in best:
            yield (
                f"\nThe quickest {name} that is as exact as ours at tolerance 0.0001 ({best['variant']}, "
                f"rtol {best['rtol']:g}) takes {best['times_ours']:,} times as long."
            )


def _accuracy(found: Kept) -> Iterator[str]:
    accuracy, strain = found["accuracy"], found["strain"]
    yield (
        f"\nDaily mean moisture of {accuracy['bodies']:,} bodies against 320 cells at tolerance 1e-7, "
        "in kg/kg:\n"
    )
    yield _table("bodies", "how", "greatest", "99 of 100", "plane", "cylinder", "sphere", "root mean square")
    for name, told in (
        ("rooms_that_stay", "rooms that stay"),
        ("climates_that_change", "climates that change"),
    ):
        for how, one in accuracy[name].items():
            names = ("max", "p99", "plane", "cylinder", "sphere", "rms")
            yield _line(told, how, *(f"{one[which]:.1e}" for which in names))
    yield (
        f"\nGreatest strain of {strain['bodies']:,} bodies in which it reaches 3e-4, against 192 cells at "
        "tolerance 1e-6, as a share:\n"
    )
    yield _table("how", "greatest", "99 of 100", "middle")
    for how, one in strain.items():
        if how != "bodies":
            yield _line(how, *(f"{one[which]:.1%}" for which in ("max", "p99", "median")))
