"""Where things stand in the work table of the compiled drying engine (physics/lanes.py).

The table is one flat array. First come planes, each ROWS rows of LANES numbers; then single rows of LANES
numbers, one number for each body under way. Fixed distances let the compiler see that nothing overlaps.
"""

LANES = 32
"""Bodies side by side. Fewer than 32 and the compiler unrolls instead of using vector units."""
ROW_MASK = 511
"""Rows are taken modulo 512, which changes none; it tells the compiler that no two planes can meet."""
ROWS = 517
"""Rows of a plane: room for 320 cells and for the mask; 517 keep planes apart in the processor's cache."""
PLANE = ROWS * LANES

# Planes: moisture; the point at which a stage looks; the slope being solved for; what a stage carries over;
# inverse pivots; pivots with the diffusivity; strain; moisture that counts for shrinkage.
Y, U, K, Z, IP, G, E, S = (plane * PLANE for plane in range(8))
VECTORS = 8 * PLANE

# Constants of a body, loaded from a row of the sets, in this order. `UNTIL` is when they stop to hold.
SET_NAMES = (
    "until per_c f1 f2 f3 f4 f5 d1 d2 d3 d4 d5 top rise step q p kv gv per_m0 per_k k1 k12 "
    "beta fibre ms per_tau"
).split()
SET_COLUMNS = len(SET_NAMES)
(
    UNTIL, PER_C, F1, F2, F3, F4, F5, D1, D2, D3, D4, D5, TOP_F, RISE_F, RISE, Q, P, KV, GV,
    PER_M0, PER_K, K1, K12, BETA, FIBRE, MS, PER_TAU,
) = (VECTORS + column * LANES for column in range(SET_COLUMNS))  # fmt: skip

_OWN = VECTORS + SET_COLUMNS * LANES
# State and scratch of a body: time, step, 2/step, 1/step, room's humidity now and its slope, next knot,
# cover air; surface law: humidity, its slope, evaporation and its two slopes; elimination: carries; error,
# acceptance; last of all the wettest place and the hour at which it was looked for.
(
    T, DT, GDT, RDT, HR, HR_SLOPE, EVENT, HA,
    HS, DH, J, J_U, J_A,
    CARRY_F, CARRY_D, CARRY_P, CARRY_G, CARRY_R, CROSS, QJ_A, IP_AIR, K_AIR, U_AIR, Z_AIR,
    ERR, ACC, FACTOR, MEAN, PEAK, SHIFT,
    OLD_T, OLD_MEAN, OLD_RATE, OLD_US, OLD_HS, OLD_HA, OLD_PEAK, TOP, TOP_T, WANTED, SOFT, EASED,
    DEEP, DEEP_T,
) = (_OWN + row * LANES for row in range(44))  # fmt: skip
SIZE = _OWN + 44 * LANES

# What is written at each sample, in this order.
SAMPLE_NAMES = ("mean", "surface", "surface_rh", "cover_rh", "strain", "wettest")
SAMPLE_COLUMNS = len(SAMPLE_NAMES)
