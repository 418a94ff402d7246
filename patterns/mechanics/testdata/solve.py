"""An independent solver for a strung bed: reads strings as JSON, finds the crossings by itself, solves with scipy.

Input: {"mains": [[x1, y1, x2, y2, newtons, grams per metre], ...], "crosses": [...]}, in mm.
Output: {"nodes": [[main, cross], ...], "stiffness": [N/mm under a load on each crossing itself, ...], "hz": [five lowest]}
"""
import json
import sys

import numpy as np
from scipy import sparse
from scipy.linalg import eigh
from scipy.sparse.linalg import splu

data = json.load(sys.stdin)
strings = [np.array(s, float) for s in data["mains"] + data["crosses"]]
mains = len(data["mains"])

nodes, on = [], [[] for _ in strings]
for i in range(mains):
    for j in range(mains, len(strings)):
        a, b = strings[i], strings[j]
        m = np.column_stack((a[2:4] - a[0:2], b[0:2] - b[2:4]))
        s, t = np.linalg.solve(m, b[0:2] - a[0:2])
        if 1e-6 < s < 1 - 1e-6 and 1e-6 < t < 1 - 1e-6:
            on[i].append((s, len(nodes)))
            on[j].append((t, len(nodes)))
            nodes.append((i, j - mains))

# Every span is a row of the incidence matrix B; stiffness is Bt diag(T/l) B, mass half of each span at its ends.
rows, springs, mass = [], [], np.zeros(len(nodes))
for s, crossings in zip(strings, on):
    length = np.hypot(s[2] - s[0], s[3] - s[1])
    stops = [(0.0, None)] + sorted(crossings) + [(1.0, None)]
    for (u, a), (v, b) in zip(stops, stops[1:]):
        span = (v - u) * length
        springs.append(s[4] / span)
        rows.append((a, b))
        for k in (a, b):
            if k is not None:
                mass[k] += s[5] * 1e-3 * span / 2
incidence = sparse.lil_matrix((len(rows), len(nodes)))
for r, (a, b) in enumerate(rows):
    if a is not None:
        incidence[r, a] = 1
    if b is not None:
        incidence[r, b] = -1
incidence = incidence.tocsc()
stiffness = (incidence.T @ sparse.diags(springs) @ incidence).tocsc()
inverse = splu(stiffness).solve(np.eye(len(nodes)))
values = eigh(stiffness.toarray(), np.diag(mass), eigvals_only=True, subset_by_index=[0, 4])
json.dump({"nodes": nodes, "stiffness": (1 / np.diag(inverse)).tolist(), "hz": (np.sqrt(values * 1e6) / 2 / np.pi).tolist()}, sys.stdout)
