"""An independent solver for a bed under a ball: the least energy of the strings, sought by quasi-Newton steps.

Input: {"mains": [[x1, y1, x2, y2, newtons, EA], ...], "crosses": [...], "ball": [x, y, radius, newtons]}, in mm.
Output: how far the ball sinks in, in mm: "free", strings that slide at their crossings; "locked", crossings that neither slide
nor move in the plane; "shifting", locked crossings that may move in the plane, which lies between the two.
"""
import json
import sys

import numpy as np
from scipy.optimize import minimize

data = json.load(sys.stdin)
strings = [np.array(s, float) for s in data["mains"] + data["crosses"]]
mains = len(data["mains"])
bx, by, radius, force = data["ball"]

place, on = [], [[] for _ in strings]
for i in range(mains):
    for j in range(mains, len(strings)):
        a, b = strings[i], strings[j]
        s, t = np.linalg.solve(np.column_stack((a[2:4] - a[0:2], b[0:2] - b[2:4])), b[0:2] - a[0:2])
        if 1e-6 < s < 1 - 1e-6 and 1e-6 < t < 1 - 1e-6:
            on[i].append((s, len(place)))
            on[j].append((t, len(place)))
            place.append(a[0:2] + s * (a[2:4] - a[0:2]))
crossings = len(place)
place = place + [p for s in strings for p in (s[0:2], s[2:4])]  # the ends at the hoop come last
place = np.column_stack((np.array(place), np.zeros(len(place))))

near, far, string, share = [], [], [], []
load = np.zeros(len(place))


def foot(k):
    """Distance of the ball's middle from a string's line."""
    s = strings[k]
    d = (s[2:4] - s[0:2]) / np.hypot(*(s[2:4] - s[0:2]))
    return (bx - s[0]) * d[1] - (by - s[1]) * d[0]


for k, s in enumerate(strings):
    ends = crossings + 2 * k
    stops = [(0.0, ends)] + sorted(on[k]) + [(1.0, ends + 1)]
    kind = range(mains) if k < mains else range(mains, len(strings))
    lo, hi = max(k - 1, kind[0]), min(k + 1, kind[-1])
    width = abs(foot(hi) - foot(lo)) / (hi - lo)
    length = np.hypot(*(s[2:4] - s[0:2]))
    for (u, a), (v, b) in zip(stops, stops[1:]):
        near.append(a)
        far.append(b)
        string.append(k)
        share.append((v - u))
        m = 4000  # the pressure in many small steps
        w = (np.arange(m) + 0.5) / m
        p = s[0:2] + np.outer(u + w * (v - u), s[2:4] - s[0:2]) - (bx, by)
        pressure = np.clip(1 - (p**2).sum(axis=1) / radius**2, 0, None) ** 2 * width * (v - u) * length / m
        load[a] += (pressure * (1 - w)).sum()
        load[b] += (pressure * w).sum()
load[crossings:] = 0
load *= force / load.sum()

near, far, string = map(np.array, (near, far, string))
tension = np.array([s[4] for s in strings])[string]
stiff = np.array([s[5] + s[4] for s in strings])
flat = np.linalg.norm(place[far] - place[near], axis=1)
whole = np.bincount(string, flat)


def energy(u, free, plane):
    p = place.copy()
    if plane:
        p[:crossings] += u.reshape(crossings, 3)
    else:
        p[:crossings, 2] = u
    d = p[far] - p[near]
    long = np.linalg.norm(d, axis=1)
    more = (d**2 - (place[far] - place[near]) ** 2).sum(axis=1) / (long + flat)
    if free:
        total = np.bincount(string, more)
        stretch = (stiff / whole / 2 * total**2).sum()
        pull = tension + (stiff / whole * total)[string]
    else:
        stretch = (stiff[string] / flat / 2 * more**2).sum()
        pull = tension + stiff[string] / flat * more
    slope = np.zeros_like(p)
    each = (pull / long)[:, None] * d
    np.add.at(slope, far, each)
    np.add.at(slope, near, -each)
    slope[:, 2] -= load
    slope = slope[:crossings]
    return (tension * more).sum() + stretch - load @ p[:, 2], slope.ravel() if plane else slope[:, 2].copy()


out = {}
for name, free, plane in (("free", True, False), ("locked", False, False), ("shifting", False, True)):
    start = np.zeros(crossings * (3 if plane else 1))
    found = minimize(energy, start, (free, plane), jac=True, method="L-BFGS-B", options={"maxiter": 20000, "maxfun": 50000, "ftol": 1e-16, "gtol": 1e-8, "maxcor": 50})
    z = found.x.reshape(crossings, 3)[:, 2] if plane else found.x
    out[name] = float(load[:crossings] @ z / force)
json.dump(out, sys.stdout)
