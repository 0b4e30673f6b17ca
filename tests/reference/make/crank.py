"""Makes tests/reference/crank.csv: published roots, coefficients and zeros, and values of two libraries.

Published values were read on the pages named beside them. Those of the libraries are made here:
mpmath inverts the exact Laplace transforms numerically (Talbot, 30 digits), which shares nothing with the
eigenfunction series; SciPy finds Bessel zeros and roots by bisection on other forms of the conditions.
Boxes and short cylinders are solved in two dimensions by FiPy 4.0.3 and by SciPy, without any products.

Run: FIPY_SOLVERS=scipy python tests/reference/make/crank.py (mpmath, scipy, fipy; three minutes).
"""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import mpmath as mp
import numpy as np
import scipy.linalg
from fipy import CellVariable, DiffusionTerm, FaceVariable, Grid2D, ImplicitSourceTerm, TransientTerm
from fipy.solvers.scipy import LinearLUSolver
from scipy import sparse, special
from scipy.optimize import bisect, minimize_scalar
from scipy.sparse.linalg import expm_multiply

OUT = Path(__file__).parents[1] / "crank.csv"
ROWS: list[list[str]] = []
SHAPES = ("plane", "cylinder", "sphere")
MPMATH = f"library:mpmath {mp.__version__}"
SCIPY = f"library:scipy {scipy.__version__}"


# Last digits that are wrong on the page, by mpmath at 30 digits.
MISSES = {
    ("crank.root", "shape=cylinder;biot=2;n=1"): "the page rounds 1.599449 up",
    ("crank.first_coefficient", "shape=plane;biot=5"): "the page rounds 1.240249 up",
    ("crank.root", "shape=cylinder;biot=inf;n=4"): "the last digit of the list is wrong: 11.79153443901",
    ("crank.root", "shape=cylinder;biot=inf;n=5"): "the last digit of the list is wrong: 14.93091770849",
    ("crank.semi_infinite_change", "depth_m=0.003;diffusivity_m2_s=1e-10;time_s=10000"): (
        "the page gives three figures and a nought: erfc(1.5) is 0.033895"
    ),
}


def add(quantity, inputs, value, tolerance, source, place, how, note="", unit="1"):
    said = value if isinstance(value, str) else f"{float(value):.15g}"
    miss = MISSES.get((quantity, inputs), "") if how == "published" else ""
    ROWS.append([quantity, inputs, said, unit, tolerance, source, place, how, note, miss])


# --- read on a page

# Bi: (lambda1, A1) for plane, cylinder, sphere
ONE_TERM = """
0.01 0.0998 1.0017 0.1412 1.0025 0.1730 1.0030
0.1  0.3111 1.0161 0.4417 1.0246 0.5423 1.0298
0.5  0.6533 1.0701 0.9408 1.1143 1.1656 1.1441
1    0.8603 1.1191 1.2558 1.2071 1.5708 1.2732
2    1.0769 1.1785 1.5995 1.3384 2.0288 1.4793
5    1.3138 1.2403 1.9898 1.5029 2.5704 1.7870
10   1.4289 1.2620 2.1795 1.5677 2.8363 1.9249
"""
# C of a tan a = C; roots 2 to 6
PLANE_ROOTS = """
0.001 3.1419 6.2833 9.4249 12.5665 15.7080
0.1 3.1731 6.2991 9.4354 12.5743 15.7143
0.5 3.2923 6.3616 9.4775 12.6060 15.7397
1 3.4256 6.4373 9.5293 12.6453 15.7713
2 3.6436 6.5783 9.6296 12.7223 15.8336
5 4.0336 6.9096 9.8928 12.9352 16.0107
10 4.3058 7.2281 10.2003 13.2142 16.2594
20 4.4915 7.4954 10.5117 13.5420 16.5864
"""
# C of a cot a = -C, that is Bi = C + 1; roots 1 to 6
SPHERE_ROOTS = """
0.5 1.8366 4.8158 7.9171 11.0409 14.1724 17.3076
1 2.0288 4.9132 7.9787 11.0856 14.2075 17.3364
4 2.5704 5.3540 8.3029 11.3349 14.4080 17.5034
8 2.8044 5.6669 8.6031 11.5994 14.6374 17.7032
"""
J0_ZEROS = (2.4048255577, 5.5200781103, 8.6537279129, 11.7915344391, 14.9309177086, 18.0710639679)
J1_ZEROS = (3.8317, 7.0156, 10.1735, 13.3237)
ERFC = {0.10: "0.8875", 0.20: "0.7773", 0.50: "0.4795", 1.00: "0.1573", 1.50: "0.03390", 2.00: "0.00468"}


def published() -> None:
    for line in ONE_TERM.split("\n"):
        if not line:
            continue
        biot, *numbers = line.split()
        for shape, first, a1 in zip(SHAPES, numbers[::2], numbers[1::2], strict=True):
            page = "table 4-2, page 263"
            add(
                "crank.root",
                f"shape={shape};biot={biot};n=1",
                first,
                "5e-05",
                "cengel-2015",
                page,
                "published",
            )
            add(
                "crank.first_coefficient",
                f"shape={shape};biot={biot}",
                a1,
                "5e-05",
                "cengel-2015",
                page,
                "published",
            )
    for line in PLANE_ROOTS.strip().split("\n"):
        biot, *numbers = line.split()
        for n, number in enumerate(numbers, 2):
            if n in (2, 3, 6):
                add(
                    "crank.root",
                    f"shape=plane;biot={biot};n={n}",
                    number,
                    "5e-05",
                    "watts-2007",
                    "table A.1",
                    "published",
                )
    for line in SPHERE_ROOTS.strip().split("\n"):
        c, *numbers = line.split()
        for n, number in enumerate(numbers, 1):
            if n in (1, 2, 6):
                add(
                    "crank.root",
                    f"shape=sphere;biot={float(c) + 1:g};n={n}",
                    number,
                    "5e-05",
                    "watts-2007",
                    "table A.2",
                    "published",
                    "the table's C is Bi - 1",
                )


def published_elsewhere() -> None:
    """Zeros, the error function and worked examples."""
    for n, zero in enumerate(J0_ZEROS, 1):
        add(
            "crank.root",
            f"shape=cylinder;biot=inf;n={n}",
            f"{zero:.10f}",
            "5e-11",
            "gauss-latitudes",
            "list of fifty zeros",
            "published",
        )
    for n, zero in enumerate(J1_ZEROS, 2):
        add(
            "crank.root",
            f"shape=cylinder;biot=0.000001;n={n}",
            f"{zero:.4f}",
            "5e-05",
            "mathworld-bessel",
            "table of zeros",
            "published",
            "a film that lets nothing through: the roots are the zeros of J1",
        )
    for eta, value in ERFC.items():
        decimals = len(value.split(".")[1])
        add(
            "crank.semi_infinite_change",
            f"depth_m={eta * 2e-3:g};diffusivity_m2_s=1e-10;time_s=10000",
            value,
            f"{0.5 * 10.0**-decimals:g}",
            "cengel-2015",
            "table 4-4, page 271",
            "published",
            f"erfc({eta:g})",
        )
    page = "worked examples of uptake by a sheet"
    add(
        "crank.fraction_lost",
        "shape=plane;fourier=0.125",
        "0.39892798988456807",
        "1e-12",
        "polykin-docs",
        page,
        "published",
    )
    add(
        "crank.fraction_lost",
        "shape=plane;fourier=0.25",
        "0.562233541762138",
        "1e-12",
        "polykin-docs",
        page,
        "published",
    )
    add(
        "crank.fraction_lost_biot",
        "shape=plane;fourier=0.125;biot=20",
        "0.3528861780625614",
        "1e-9",
        "polykin-docs",
        page,
        "published",
        "the number of terms they sum is not known",
    )
    for biot, numbers in {
        "0.1": "0.311 3.173 6.299 9.435 12.574",
        "10": "1.429 4.306 7.228 10.200 13.214",
    }.items():
        n, number = 5, numbers.split()[4]
        add(
            "crank.root",
            f"shape=plane;biot={biot};n={n}",
            number,
            "5e-04",
            "utp-modelling",
            "table 10.3",
            "published",
        )


# --- mpmath: inverse Laplace transforms


def ratio(shape, q):
    """phi'(q)/phi(q)."""
    if shape == "plane":
        return mp.tanh(q)
    if shape == "cylinder":
        return mp.besseli(1, q) / mp.besseli(0, q)
    return mp.coth(q) - 1 / q


def invert(transform, t):
    return mp.invertlaplace(transform, t, method="talbot", degree=40)


def lost(shape, fourier, biot):
    m = SHAPES.index(shape) + 1

    def transform(s):
        q = mp.sqrt(s)
        r = q * ratio(shape, q)
        return m / s**2 * (r if biot is None else biot * r / (r + biot))

    return invert(transform, fourier)


def left_at(shape, position, fourier, biot):
    def phi(q):
        if shape == "plane":
            return mp.cosh(q)
        return mp.besseli(0, q) if shape == "cylinder" else mp.sinh(q) / q

    def transform(s):
        q = mp.sqrt(s)
        film = 1 if biot is None else biot / (q * ratio(shape, q) + biot)
        return (1 - film * phi(q * position) / phi(q)) / s

    return invert(transform, fourier)


def into_bath(fourier, alpha):
    def transform(s):
        r = mp.sqrt(s) * mp.tanh(mp.sqrt(s))
        return (1 + alpha) * r / (s * (alpha * s + r))

    return invert(transform, fourier)


def by_mpmath() -> None:
    mp.mp.dps = 30
    place = "inverse Laplace transform, Talbot, 40 nodes"
    for shape in SHAPES:
        for fourier in (1e-6, 1e-3, 0.009, 0.05, 0.4, 1.2):
            add(
                "crank.fraction_lost",
                f"shape={shape};fourier={fourier:g}",
                lost(shape, mp.mpf(str(fourier)), None),
                "1e-8%" if fourier < 0.1 else "1e-10",
                "mpmath-1.4",
                place,
                MPMATH,
            )
        for biot, fourier in (
            (0.05, 2.0),
            (0.3, 0.005),
            (1, 0.3),
            (1, 1e-5),
            (8, 0.02),
            (50, 1e-4),
            (2000, 0.1),
        ):
            add(
                "crank.fraction_lost_biot",
                f"shape={shape};fourier={fourier:g};biot={biot:g}",
                lost(shape, mp.mpf(str(fourier)), mp.mpf(str(biot))),
                "1e-10",
                "mpmath-1.4",
                place,
                MPMATH,
            )
        for position, fourier, biot in (
            (0.5, 0.05, None),
            (0.95, 0.002, None),
            (1.0, 0.004, 30),
            (0.3, 0.5, 2),
        ):
            add(
                "crank.local_fraction",
                f"shape={shape};position={position:g};fourier={fourier:g};biot={biot or 'inf'}",
                left_at(shape, mp.mpf(str(position)), mp.mpf(str(fourier)), biot),
                "1e-10",
                "mpmath-1.4",
                place,
                MPMATH,
            )
    for fourier, alpha in ((1e-4, 3.0), (0.05, 0.25), (0.3, 1.0), (0.8, 9.0)):
        add(
            "crank.fraction_into_bath",
            f"shape=plane;fourier={fourier:g};alpha={alpha:g}",
            into_bath(mp.mpf(str(fourier)), mp.mpf(str(alpha))),
            "1e-10",
            "mpmath-1.4",
            place,
            MPMATH,
        )


def surface_change_by_mpmath() -> None:
    for film in (0.03, 2.5):
        h = mp.mpf(str(film))
        value = 1 - mp.exp(h * h) * mp.erfc(h)
        inputs = f"film={film:g}"
        add(
            "crank.semi_infinite_surface_change",
            inputs,
            value,
            "1e-12",
            "mpmath-1.4",
            "erfc at 30 digits",
            MPMATH,
        )


def images(x, t):
    """What is left at x between held faces at -1 and 1, by images of the erfc."""
    total = mp.mpf(1)
    for n in range(12):
        total -= (-1) ** n * (
            mp.erfc((2 * n + 1 - x) / (2 * mp.sqrt(t))) + mp.erfc((2 * n + 1 + x) / (2 * mp.sqrt(t)))
        )
    return total


def boxes_by_mpmath() -> None:
    place = "mean over the body of a product of image sums, by quadrature"
    for halves in ((0.1, 0.1, 0.1), (0.02, 0.3, 0.05)):
        left = mp.mpf(1)
        for t in halves:
            left *= mp.quad(lambda x, t=t: images(x, mp.mpf(str(t))), [0, 0.5, 0.9, 1])
        add(
            "shapes.box_fraction",
            ";".join(f"fourier_{k}={t:g}" for k, t in enumerate(halves, 1)),
            1 - left,
            "1e-9",
            "mpmath-1.4",
            place,
            MPMATH,
        )


# --- SciPy


def by_scipy() -> None:
    for n in (1, 2, 7, 20, 50):
        add(
            "crank.root",
            f"shape=cylinder;biot=inf;n={n}",
            special.jn_zeros(0, n)[-1],
            "1e-11",
            "scipy-1.17",
            "special.jn_zeros",
            SCIPY,
        )
    for biot in (0.001, 0.2, 3.0, 40.0, 5000.0):
        for n in (1, 4, 12):
            low, high = (n - 1) * np.pi + 1e-9, (n - 0.5) * np.pi - 1e-12
            plane = bisect(lambda b: np.tan(b) - biot / b, low, high, xtol=1e-14)  # noqa: B023
            add(
                "crank.root",
                f"shape=plane;biot={biot:g};n={n}",
                plane,
                "1e-10",
                "scipy-1.17",
                "optimize.bisect on tan b - Bi/b",
                SCIPY,
            )
    for biot in (0.2, 3.0, 40.0):
        for n in (1, 3, 10):
            low = special.jn_zeros(1, n - 1)[-1] + 1e-9 if n > 1 else 1e-9
            high = special.jn_zeros(0, n)[-1] - 1e-12
            found = bisect(lambda b: special.jv(1, b) / special.jv(0, b) - biot / b, low, high, xtol=1e-14)  # noqa: B023
            add(
                "crank.root",
                f"shape=cylinder;biot={biot:g};n={n}",
                found,
                "1e-10",
                "scipy-1.17",
                "optimize.bisect on J1/J0 - Bi/b",
                SCIPY,
            )


def greatest_gap(m, cells, biot):
    """Greatest mean less surface over all times, from the modes of a fine even grid."""
    a, volume, _ = one_way(m, cells, biot)
    root = np.sqrt(volume)
    rates, modes = scipy.linalg.eigh(root[:, None] * a / root[None, :])
    share = modes.T @ root
    mean, surface = share * share / volume.sum(), share * modes[-1] / root[-1]
    found = minimize_scalar(
        lambda log_t: -float((mean - surface) @ np.exp(rates * np.exp(log_t))),
        bounds=(-9.0, 2.0),
        method="bounded",
        options={"xatol": 1e-9},
    )
    return -found.fun


def gaps_by_scipy() -> None:
    for m, shape in enumerate(SHAPES):
        for biot in (0.5, 4.0):
            coarse, fine = greatest_gap(m, 200, biot), greatest_gap(m, 400, biot)
            value = fine + (fine - coarse) / 3
            place = "linalg.eigh on 400 vertices, extrapolated"
            inputs = f"shape={shape};biot={biot:g}"
            add("crank.greatest_difference", inputs, value, "2e-06", "scipy-1.17", place, SCIPY)


# --- boxes and short cylinders by FiPy and SciPy, in two dimensions

# round (0 box, 1 cylinder), Fourier number and Biot number of x (or the radius) and of y (or the axis)
FLAT = (
    (0, 0.1, 0.1, None, None),
    (0, 0.3, 0.3, None, None),
    (0, 0.05, 0.4, None, None),
    (0, 0.6, 0.02, None, None),
    (1, 0.1, 0.1, None, None),
    (1, 0.05, 0.3, None, None),
    (1, 0.25, 0.02, None, None),
    (1, 0.02, 0.02, None, None),
    (1, 0.2, 0.4, 2.0, 2.0),
    (1, 0.1, 0.05, 10.0, 10.0),
    (1, 0.5, 0.5, 0.5, 0.5),
    (0, 0.2, 0.2, 5.0, 5.0),
    (0, 1.0, 1.0, 1.0, 1.0),
    (1, 0.15, 0.6, None, 4.0),
)


def one_way(m, cells, biot):
    """Vertex-centred operator of one direction and the volumes of its nodes."""
    x = np.linspace(0, 1, cells + 1)
    faces = 0.5 * (x[1:] + x[:-1])
    volume = np.diff(np.concatenate([[0], faces, [1]]) ** (m + 1)) / (m + 1)
    pull = faces**m / np.diff(x)
    a = (
        np.diag(-np.concatenate([pull, [0]]) - np.concatenate([[0], pull]))
        + np.diag(pull, 1)
        + np.diag(pull, -1)
    )
    if biot is not None:
        a[-1, -1] -= biot
        return a / volume[:, None], volume, 0.0
    return (a / volume[:, None])[:-1, :-1], volume[:-1], volume[-1]


def flat_scipy(case, cells):
    m, fx, fy, bx, by = case
    (ax, vx, gone_x), (ay, vy, gone_y) = one_way(m, cells, bx), one_way(0, cells, by)
    whole = sparse.kron(sparse.csr_matrix(ax * fx), sparse.eye(len(vy))) + sparse.kron(
        sparse.eye(len(vx)), sparse.csr_matrix(ay * fy)
    )
    u = expm_multiply(whole.tocsr(), np.ones(len(vx) * len(vy)))
    return 1 - float(np.kron(vx, vy) @ u) / ((vx.sum() + gone_x) * (vy.sum() + gone_y))


def flat_fipy(case, cells, split):
    m, fx, fy, bx, by = case
    tall = float(np.sqrt(fx / fy))
    dx, dy = 1 / cells, tall / cells
    mesh = Grid2D(dx=dx, dy=dy, nx=cells, ny=cells)
    x, y = mesh.cellCenters.value
    u = CellVariable(mesh=mesh, value=1.0)
    metric = CellVariable(mesh=mesh, value=x**m)
    out = np.zeros_like(x)
    out += np.where(x > 1 - dx, 1 / (dx / 2 + (0 if bx is None else 1 / bx)) / dx, 0)
    out += np.where(y > tall - dy, x**m / (dy / 2 + (0 if by is None else tall / by)) / dy, 0)
    equation = TransientTerm(coeff=metric) == DiffusionTerm(
        coeff=FaceVariable(mesh=mesh, value=mesh.faceCenters.value[0] ** m)
    ) - ImplicitSourceTerm(coeff=CellVariable(mesh=mesh, value=out))
    base = fx * (np.arange(31) / 30) ** 2
    times = np.concatenate([np.linspace(a, b, split + 1)[:-1] for a, b in pairwise(base)] + [[fx]])
    solver = LinearLUSolver(tolerance=1e-14, iterations=3)
    for now, following in pairwise(times):
        equation.solve(var=u, dt=float(following - now), solver=solver)
    return 1 - float((x**m) @ u.value / (x**m).sum())


def by_two_solvers() -> None:
    for case in FLAT:
        m, fx, fy, bx, by = case
        coarse, fine = flat_scipy(case, 24), flat_scipy(case, 48)
        by_scipy_alone = fine + (fine - coarse) / 3
        one, two, four = (flat_fipy(case, 32, split) for split in (1, 2, 4))
        once, again = 2 * two - one, 2 * four - two
        by_fipy = again + (again - once) / 3 + (one - flat_fipy(case, 16, 1)) / 3
        spread = abs(by_fipy - by_scipy_alone)
        assert spread < 1e-3, (case, by_fipy, by_scipy_alone)
        tolerance = max(1e-5, np.ceil(spread * 1e5) * 1e-5)
        if m == 0:
            inputs = f"fourier_1={fx:g};fourier_2={fy:g}" + ("" if bx is None else f";biot={bx:g}")
        else:
            inputs = (
                f"fourier_radius={fx:g};fourier_axis={fy:g};biot_radius={bx or 'inf'};biot_axis={by or 'inf'}"
            )
        add(
            f"shapes.{('box', 'short_cylinder')[m]}_fraction",
            inputs,
            f"{0.5 * (by_fipy + by_scipy_alone):.6f}",
            f"{tolerance:.5f}",
            "fipy-2009",
            "FiPy 4.0.3 on a plane grid and SciPy expm_multiply, both in two dimensions",
            "solvers",
            f"fipy={by_fipy:.6f};scipy={by_scipy_alone:.6f}",
        )
        print(case, f"{by_fipy:.6f} {by_scipy_alone:.6f} {spread:.1e}", flush=True)


def recalled() -> None:
    note = "Crank's tables 4.1, 5.2, 6.2 as remembered; the pages were not seen"
    for shape, biot, numbers in (
        ("plane", "100", "1.5552 4.6658"),
        ("cylinder", "0.1", "0.4417 3.8577"),
        ("cylinder", "1", "1.2558 4.0795"),
        ("cylinder", "5", "1.9898 4.7131"),
        ("cylinder", "10", "2.1795 5.0332"),
        ("cylinder", "100", "2.3809 5.4652"),
        ("sphere", "0.1", "0.5423 4.5157"),
        ("sphere", "100", "3.1102"),
    ):
        for n, number in enumerate(numbers.split(), 1):
            add(
                "crank.root",
                f"shape={shape};biot={biot};n={n}",
                number,
                "5e-05",
                "crank-1975",
                "tables",
                "memory",
                note,
            )


def main() -> None:
    published()
    published_elsewhere()
    recalled()
    by_mpmath()
    surface_change_by_mpmath()
    boxes_by_mpmath()
    by_scipy()
    gaps_by_scipy()
    by_two_solvers()
    with OUT.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow("quantity,inputs,value,unit,tolerance,source,place,how,note,miss".split(","))
        writer.writerows(ROWS)
    print(f"{len(ROWS)} rows")


if __name__ == "__main__":
    main()
