"""The coefficients of Rodas5P and the parts of a step that know no physics.

G. Steinebach, Construction of Rosenbrock-Wanner method Rodas5P and numerical benchmarks within the Julia
Differential Equations package, BIT Numer. Math. 63:27 (2023), doi 10.1007/s10543-023-00967-x. Order 5 with an
embedded method of order 4, eight stages, L-stable and stiffly accurate, dense output of order 4.

Written for C dy/dt = F(t, y): with K = -dF/dy, each stage u_i solves

    (C / (gamma h) + K) u_i = F(t + c_i h, y + sum A_ij u_j) + C sum B_ij u_j / h + h d_i dF/dt

The new y is y + sum A_8j u_j + u_8, and u_8 estimates the error. (B is called C in the paper.)
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import inner_jit

FloatArray = NDArray[np.float64]

STAGES = 8
GAMMA = 0.21193756319429014
NODES = np.array(
    [0.0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1.0, 1.0, 1.0]
)
RATES = np.array(
    [
        0.21193756319429014,
        -0.42387512638858027,
        -0.3384627126235924,
        1.8046452872882734,
        2.325825639765069,
        0.0,
        0.0,
        0.0,
    ]
)


def _triangle(rows: list[list[float]]) -> FloatArray:
    full = np.zeros((STAGES, STAGES))
    for i, row in enumerate(rows):
        full[i, : len(row)] = row
    return full


_LAST = [
    -7.502846399306121,
    2.561846144803919,
    -11.627539656261098,
    -0.18268767659942256,
    0.030198172008377946,
]
A = _triangle(
    [
        [],
        [3.0],
        [2.849394379747939, 0.45842242204463923],
        [-6.954028509809101, 2.489845061869568, -10.358996098473584],
        [2.8029986275628964, 0.5072464736228206, -0.3988312541770524, -0.04721187230404641],
        _LAST,
        [*_LAST, 1.0],
        [*_LAST, 1.0, 1.0],
    ]
)
B = _triangle(
    [
        [],
        [-14.155112264123755],
        [-17.97296035885952, -2.859693295451294],
        [147.12150275711716, -1.41221402718213, 71.68940251302358],
        [165.43517024871676, -0.4592823456491126, 42.90938336958603, -5.961986721573306],
        [24.854864614690072, -3.0009227002832186, 47.4931110020768, 5.5814197821558125, -0.6610691825249471],
        [
            30.91273214028599,
            -3.1208243349937974,
            77.79954646070892,
            34.28646028294783,
            -19.097331116725623,
            -28.087943162872662,
        ],
        [
            37.80277123390563,
            -3.2571969029072276,
            112.26918849496327,
            66.9347231244047,
            -40.06618937091002,
            -54.66780262877968,
            -9.48861652309627,
        ],
    ]
)
DENSE = np.array(
    [
        [
            25.948786856663858,
            -2.5579724845846235,
            10.433815404888879,
            -2.3679251022685204,
            0.524948541321073,
            1.1241088310450404,
            0.4272876194431874,
            -0.17202221070155493,
        ],
        [
            -9.91568850695171,
            -0.9689944594115154,
            3.0438037242978453,
            -24.495224566215796,
            20.176138334709044,
            15.98066361424651,
            -6.789040303419874,
            -6.710236069923372,
        ],
        [
            11.419903575922262,
            2.8879645146136994,
            72.92137995996029,
            80.12511834622643,
            -52.072871366152654,
            -59.78993625266729,
            -0.15582684282751913,
            4.883087185713722,
        ],
    ]
)


@inner_jit
def stage_state(stage: int, y: FloatArray, u: FloatArray, state: FloatArray) -> None:
    """Fill `state` with y + sum A_ij u_j: rows of u from `stage` on are zero, or finite and do not count."""
    if stage > 5:  # one more than in the stage before, which `state` still holds
        for m in range(len(state)):
            state[m] += u[stage - 1, m]
        return
    a, b, c, d, e = A[stage, 0], A[stage, 1], A[stage, 2], A[stage, 3], A[stage, 4]
    for m in range(len(state)):
        state[m] = y[m] + a * u[0, m] + b * u[1, m] + c * u[2, m] + d * u[3, m] + e * u[4, m]


@inner_jit
def history(stage: int, u: FloatArray, out: FloatArray) -> None:
    """Fill `out` with sum B_ij u_j over the stages before; u as above."""
    a, b, c, d = B[stage, 0], B[stage, 1], B[stage, 2], B[stage, 3]
    e, f, g = B[stage, 4], B[stage, 5], B[stage, 6]
    for m in range(len(out)):
        early = a * u[0, m] + b * u[1, m] + c * u[2, m] + d * u[3, m]
        out[m] = early + e * u[4, m] + f * u[5, m] + g * u[6, m]


@inner_jit
def bend(stages: FloatArray, dense: FloatArray) -> None:
    """Fill `dense` (3, n) with what the curve between two steps needs beyond its ends."""
    for row in range(3):
        for m in range(dense.shape[1]):
            dense[row, m] = 0.0
        for j in range(STAGES):
            for m in range(dense.shape[1]):
                dense[row, m] += DENSE[row, j] * stages[j, m]
