"""SUNDIALS CVODE called as its makers meant it: compiled callbacks, and the loop over outputs compiled too.

The binding `scikit-sundae` takes Python callables only, so each evaluation costs it a microsecond or more of
Python. Its wheel brings the C libraries along, though, and these take addresses of compiled functions. That
is the hardest contestant to beat, so that is what is called here.
"""

import ctypes
from ctypes import POINTER, c_double, c_int, c_long, c_void_p
from pathlib import Path

import engine_block as layout
import engine_equations as equations
import numpy as np
import sksundae
from engine_contestants import MOST_STEPS, Setting
from numba import carray, cfunc, njit, types
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BDF, NORMAL = 2, 1
MOST_IN_ALL = 100_000


def _library(name: str) -> ctypes.CDLL:
    folder = Path(sksundae.__file__).parents[1] / "scikit_sundae.libs"
    found = sorted(folder.glob(f"*sundials_{name}-*"))
    if not found:
        raise ImportError(f"this scikit-sundae does not bring {name} along as a library of its own")
    return ctypes.CDLL(str(found[0]), mode=ctypes.RTLD_GLOBAL)


_core, _vector = _library("core"), _library("nvecserial")
_dense_matrix, _band_matrix = _library("sunmatrixdense"), _library("sunmatrixband")
_dense, _band = _library("sunlinsoldense"), _library("sunlinsolband")
_cvode = _library("cvode")


def _function(library: ctypes.CDLL, name: str, result: object, *arguments: object) -> object:
    found = getattr(library, name)
    found.restype, found.argtypes = result, list(arguments)
    return found


context_create = _function(_core, "SUNContext_Create", c_int, c_int, POINTER(c_void_p))
context_quiet = _function(_core, "SUNContext_ClearErrHandlers", c_int, c_void_p)
new_vector = _function(_vector, "N_VNew_Serial", c_void_p, c_int, c_void_p)
vector_data = _function(_vector, "N_VGetArrayPointer_Serial", POINTER(c_double), c_void_p)
dense_matrix = _function(_dense_matrix, "SUNDenseMatrix", c_void_p, c_int, c_int, c_void_p)
dense_data = _function(_dense_matrix, "SUNDenseMatrix_Data", POINTER(c_double), c_void_p)
band_matrix = _function(_band_matrix, "SUNBandMatrix", c_void_p, c_int, c_int, c_int, c_void_p)
band_data = _function(_band_matrix, "SUNBandMatrix_Data", POINTER(c_double), c_void_p)
band_above = _function(_band_matrix, "SUNBandMatrix_StoredUpperBandwidth", c_int, c_void_p)
band_length = _function(_band_matrix, "SUNBandMatrix_LDim", c_int, c_void_p)
dense_solver = _function(_dense, "SUNLinSol_Dense", c_void_p, c_void_p, c_void_p, c_void_p)
band_solver = _function(_band, "SUNLinSol_Band", c_void_p, c_void_p, c_void_p, c_void_p)
create = _function(_cvode, "CVodeCreate", c_void_p, c_int, c_void_p)
init = _function(_cvode, "CVodeInit", c_int, c_void_p, c_void_p, c_double, c_void_p)
reinit = _function(_cvode, "CVodeReInit", c_int, c_void_p, c_double, c_void_p)
tolerances = _function(_cvode, "CVodeSStolerances", c_int, c_void_p, c_double, c_double)
user_data = _function(_cvode, "CVodeSetUserData", c_int, c_void_p, c_void_p)
set_solver = _function(_cvode, "CVodeSetLinearSolver", c_int, c_void_p, c_void_p, c_void_p)
set_jacobian = _function(_cvode, "CVodeSetJacFn", c_int, c_void_p, c_void_p)
set_order = _function(_cvode, "CVodeSetMaxOrd", c_int, c_void_p, c_int)
set_most_steps = _function(_cvode, "CVodeSetMaxNumSteps", c_int, c_void_p, c_long)
set_longest = _function(_cvode, "CVodeSetMaxStep", c_int, c_void_p, c_double)
set_stop = _function(_cvode, "CVodeSetStopTime", c_int, c_void_p, c_double)
set_patience = _function(_cvode, "CVodeSetNonlinConvCoef", c_int, c_void_p, c_double)
advance = _function(_cvode, "CVode", c_int, c_void_p, c_double, c_void_p, c_void_p, c_int)
count_steps = _function(_cvode, "CVodeGetNumSteps", c_int, c_void_p, c_void_p)
free = _function(_cvode, "CVodeFree", None, POINTER(c_void_p))
free_vector = _function(_vector, "N_VDestroy_Serial", None, c_void_p)
free_dense = _function(_dense_matrix, "SUNMatDestroy_Dense", None, c_void_p)
free_band = _function(_band_matrix, "SUNMatDestroy_Band", None, c_void_p)
free_solver = _function(_core, "SUNLinSolFree", c_int, c_void_p)
context_free = _function(_core, "SUNContext_Free", c_int, POINTER(c_void_p))

_callback = types.int32(types.float64, types.voidptr, types.voidptr, types.voidptr)
_jacobian = types.int32(
    types.float64, types.voidptr, types.voidptr, types.voidptr, types.voidptr, *[types.voidptr] * 3
)


@njit(error_model="numpy")
def _block(data):  # type: ignore[no-untyped-def]
    return carray(data, carray(data, 1, np.int64)[layout.SIZE], np.float64)


@cfunc(_callback, error_model="numpy")
def slope(t, y, rate, data):  # type: ignore[no-untyped-def]
    block = _block(data)
    n = block.view(np.int64)[layout.N]
    equations.slope(t, carray(vector_data(y), n, np.float64), block, carray(vector_data(rate), n, np.float64))
    return 0


@cfunc(_jacobian, error_model="numpy")
def full_jacobian(t, y, rate, matrix, data, spare_1, spare_2, spare_3):  # type: ignore[no-untyped-def]
    block = _block(data)
    n = block.view(np.int64)[layout.N]
    filled = carray(dense_data(matrix), n * n, np.float64)
    equations.jacobian(t, carray(vector_data(y), n, np.float64), block, filled, 0, n)
    return 0


@cfunc(_jacobian, error_model="numpy")
def banded_jacobian(t, y, rate, matrix, data, spare_1, spare_2, spare_3):  # type: ignore[no-untyped-def]
    block = _block(data)
    n = block.view(np.int64)[layout.N]
    length = band_length(matrix)
    filled = carray(band_data(matrix), n * length, np.float64)
    equations.jacobian(
        t, carray(vector_data(y), n, np.float64), block, filled, band_above(matrix), length - 1
    )
    return 0


@njit(error_model="numpy")
def _run(memory, vector, block, begin, stops, output_s, reached, output):  # type: ignore[no-untyped-def]
    """Fill `output` (len(output_s), n); the vector holds the start. Return 0, or what CVODE returned instead.

    stops: numbers of the pieces that begin with a restart, and how many pieces there are.
    """
    whole = block.view(np.int64)
    y = carray(vector_data(vector), whole[layout.N], np.float64)
    due, before, steps = 0, 0, np.zeros(1, dtype=np.int64)
    while due < len(output_s) and output_s[due] <= begin[0]:
        output[due] = y
        due += 1
    for stretch in range(len(stops) - 1):
        first, last = stops[stretch], stops[stretch + 1]
        whole[layout.FIRST_PIECE], whole[layout.LAST_PIECE] = first, last - 1
        whole[layout.PIECE] = first
        end = begin[last]
        reinit(memory, begin[first], vector)
        set_stop(memory, end)
        while due < len(output_s) and output_s[due] <= end:
            flag = advance(memory, output_s[due], vector, reached.ctypes, NORMAL)
            count_steps(memory, steps.ctypes)
            if flag < 0 or before + steps[0] > MOST_IN_ALL:
                return min(flag, -1)
            output[due] = y
            due += 1
        if reached[0] < end:
            flag = advance(memory, end, vector, reached.ctypes, NORMAL)
            if flag < 0:
                return flag
        count_steps(memory, steps.ctypes)
        before += steps[0]
    return 0


def solve(
    problem: layout.Problem, start_pa: FloatArray, output_s: FloatArray, stops: IntArray, setting: Setting
) -> FloatArray:
    """Pressures (len(output_s), n) [Pa]; ArithmeticError where CVODE gives up.

    stops: pieces that begin with a restart, and how many pieces there are.
    """
    n = problem.n
    context = c_void_p()
    context_create(0, ctypes.byref(context))
    context_quiet(context)
    y = problem.start(start_pa)
    vector = new_vector(n, context)
    np.ctypeslib.as_array(vector_data(vector), (n,))[:] = y
    memory = create(BDF, context)
    init(memory, slope.address, problem.begin[0], vector)
    tolerances(memory, 1e-14, setting.weight_pa)
    user_data(memory, problem.block.ctypes.data)
    if setting.solver == "band":
        matrix = band_matrix(n, problem.width, problem.width, context)
        linear, by = band_solver(vector, matrix, context), banded_jacobian
    else:
        matrix = dense_matrix(n, n, context)
        linear, by = dense_solver(vector, matrix, context), full_jacobian
    set_solver(memory, linear, matrix)
    set_jacobian(memory, by.address)
    set_order(memory, setting.order)
    set_most_steps(memory, MOST_STEPS)
    set_longest(memory, setting.longest_s)
    set_patience(memory, setting.patience)
    output = np.empty((len(output_s), n))
    flag = _run(memory, vector, problem.block, problem.begin, stops, output_s, np.zeros(1), output)
    pointer = c_void_p(memory)
    free(ctypes.byref(pointer))
    free_solver(linear)
    (free_band if setting.solver == "band" else free_dense)(matrix)
    free_vector(vector)
    context_free(ctypes.byref(context))
    if flag < 0:
        raise ArithmeticError(f"CVODE gave up with {flag}")
    return problem.unpermuted(output)
