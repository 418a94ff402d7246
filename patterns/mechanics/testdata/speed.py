"""Times scipy on a bed's matrices: reads them as JSON, each figure is the best of N, inside this process, on one thread.

Input: {"rounds": N, "size": n, "row": [...], "column": [...], "value": [...], "mass": [...], "load": [...]}, the lower half of K.
Output: {"solve_ns": factor and one solve by spsolve, "modes_ns": five modes by eigsh(K, 5, M, sigma=0), "at_load": ..., "squares": [...]}
"""
import json
import sys
import time

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import eigsh, spsolve

data = json.load(sys.stdin)
half = sparse.coo_matrix((data["value"], (data["row"], data["column"])), shape=(data["size"],) * 2)
stiffness = (half + sparse.tril(half, -1).T).tocsc()
mass, load = sparse.diags(data["mass"]).tocsc(), np.array(data["load"])


def best(what):
    least = float("inf")
    for _ in range(data["rounds"]):
        start = time.perf_counter_ns()
        out = what()
        least = min(least, time.perf_counter_ns() - start)
    return least, out


solve, deflection = best(lambda: spsolve(stiffness, load))
modes, (squares, _) = best(lambda: eigsh(stiffness, 5, mass, sigma=0))
json.dump({"solve_ns": solve, "modes_ns": modes, "at_load": float(deflection @ load), "squares": sorted(squares)}, sys.stdout)
