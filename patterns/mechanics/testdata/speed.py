"""Times scipy on a bed's matrices, one round for each line it reads after the first, inside this process, on one thread.

First line: {"size": n, "row": [...], "column": [...], "value": [...], "mass": [...], "load": [...]}, the lower half of K.
Each round: {"solve_ns": factor and one solve by spsolve, "modes_ns": five modes by eigsh(K, 5, M, sigma=0), "at_load": ...,
"squares": [...]}
"""
import json
import sys
import time

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import eigsh, spsolve

data = json.loads(sys.stdin.readline())
half = sparse.coo_matrix((data["value"], (data["row"], data["column"])), shape=(data["size"],) * 2)
stiffness = (half + sparse.tril(half, -1).T).tocsc()
mass, load = sparse.diags(data["mass"]).tocsc(), np.array(data["load"])


def timed(what):
    start = time.perf_counter_ns()
    out = what()
    return time.perf_counter_ns() - start, out


for _ in sys.stdin:
    solve, deflection = timed(lambda: spsolve(stiffness, load))
    modes, (squares, _) = timed(lambda: eigsh(stiffness, 5, mass, sigma=0))
    print(json.dumps({"solve_ns": solve, "modes_ns": modes, "at_load": float(deflection @ load), "squares": sorted(squares)}), flush=True)
