"""Plays a plan on an elastic hoop in another way than the package, sharing nothing with it but the description of the model:
the ops are read from the plan's JSON, the hoop is a dense frame of beams with nodes of its own, and strings, weaving, friction,
contact and sharing are one nonlinear complementarity problem for every op (Fischer and Burmeister's function, Newton's method).
"""
import json, math, sys
import numpy as np

inp = json.load(sys.stdin)
N = inp["numbers"]
mains, crosses = inp["mains"], inp["crosses"]          # [{name, ends: [hole, hole], k}]
strands = mains + crosses
nS = len(strands)
at = {s["name"]: i for i, s in enumerate(strands)}
holes = {h: np.array(p) for h, p in inp["holes"].items()}   # by place
a, b, ex = inp["a"], inp["b"], inp["exponent"]

# --- hoop: nodes by angle round the superellipse, fine between holes
def angle(p):
    return math.atan2(p[0] / a, -p[1] / b)           # 0 at the throat, growing counter-clockwise
def point(t):                                        # the superellipse's point whose scaled direction is t
    s, c = math.sin(t), -math.cos(t)
    r = (abs(s) ** ex + abs(c) ** ex) ** (-1 / ex)
    return np.array([a * r * s, b * r * c])
supports = inp["supports"]                           # [{x, y, inside, group}]
fixed_spots = {}
for h, p in holes.items():
    fixed_spots[("hole", h)] = angle(p) % (2 * math.pi)
for i, s in enumerate(supports):
    fixed_spots[("support", i)] = angle((s["x"], s["y"])) % (2 * math.pi)
for name, t in (("throat", 0), ("right", math.pi / 2), ("head", math.pi), ("left", 1.5 * math.pi)):
    fixed_spots[("axis", name)] = t
spots = sorted(fixed_spots.items(), key=lambda kv: kv[1])
nodes, where, angles = [], {}, []
for key, t in spots:
    if nodes and np.hypot(*(point(t) - nodes[-1])) < 0.2:
        where[key] = len(nodes) - 1
        continue
    if angles:
        gap = np.hypot(*(point(t) - point(angles[-1])))
        m = max(1, int(math.ceil(gap / inp["most"])))
        start = angles[-1]
        for q in range(1, m):
            nodes.append(point(start + (t - start) * q / m)); angles.append(start + (t - start) * q / m)
    where[key] = len(nodes)
    nodes.append(point(t)); angles.append(t)
gap = np.hypot(*(nodes[0] - nodes[-1]))
m = max(1, int(math.ceil(gap / inp["most"])))
start = angles[-1]
for q in range(1, m):
    nodes.append(point(start + (2 * math.pi - start) * q / m))
nodes = np.array(nodes)
n = len(nodes)
K = np.zeros((3 * n, 3 * n))
for i in range(n):
    j = (i + 1) % n
    d = nodes[j] - nodes[i]
    L = np.hypot(*d); c, s = d / L
    EA, EI = N["ea"], N["ei"]
    k = np.array([
        [EA/L, 0, 0, -EA/L, 0, 0],
        [0, 12*EI/L**3, 6*EI/L**2, 0, -12*EI/L**3, 6*EI/L**2],
        [0, 6*EI/L**2, 4*EI/L, 0, -6*EI/L**2, 2*EI/L],
        [-EA/L, 0, 0, EA/L, 0, 0],
        [0, -12*EI/L**3, -6*EI/L**2, 0, 12*EI/L**3, -6*EI/L**2],
        [0, 6*EI/L**2, 2*EI/L, 0, -6*EI/L**2, 4*EI/L]])
    R = np.zeros((6, 6))
    for o in (0, 3):
        R[o:o+2, o:o+2] = [[c, s], [-s, c]]; R[o+2, o+2] = 1
    dof = [3*i, 3*i+1, 3*i+2, 3*j, 3*j+1, 3*j+2]
    K[np.ix_(dof, dof)] += R.T @ k @ R
free = np.arange(3, 3 * n)
B = []                                               # unit actions
def act(pairs):
    v = np.zeros(3 * n)
    for node, x, y in pairs:
        v[3*node] += x; v[3*node+1] += y
    B.append(v)
for s in strands:
    p, q = holes[s["ends"][0]], holes[s["ends"][1]]
    u = (q - p) / np.hypot(*(q - p))
    act([(where[("hole", s["ends"][0])], u[0], u[1])])
    act([(where[("hole", s["ends"][1])], -u[0], -u[1])])
for i, s in enumerate(supports):
    p = np.array([s["x"], s["y"]])
    g = np.array([np.sign(p[0]) * abs(p[0]/a)**(ex-1) / a, np.sign(p[1]) * abs(p[1]/b)**(ex-1) / b])
    g /= np.hypot(*g)
    if not s["inside"]:
        g = -g
    w = where[("support", i)]
    act([(w, g[0], g[1])]); act([(w, -g[1], g[0])])
act([(where[("axis", "head")], 0, 1), (where[("axis", "throat")], 0, -1)])
act([(where[("axis", "right")], 1, 0), (where[("axis", "left")], -1, 0)])
B = np.array(B).T
F = B[free].T @ np.linalg.solve(K[np.ix_(free, free)], B[free])
nA = F.shape[0]
push = lambda i: 2 * nS + 2 * i
hold = lambda i: 2 * nS + 2 * i + 1

# --- strings
kS = np.array([s["k"] for s in strands])
kind = np.array([0] * len(mains) + [1] * len(crosses))
pm, pc, high, mu = inp["main_across"], inp["cross_across"], inp["high"], N["friction"]
def cross(p, q, r, s):                               # whether two segments cross between their ends
    side = lambda u, v, w: (v[0]-u[0]) * (w[1]-u[1]) - (v[1]-u[1]) * (w[0]-u[0])
    return side(p, q, r) * side(p, q, s) < -1e-6 and side(r, s, p) * side(r, s, q) < -1e-6
ends_of = lambda s: [holes[h] for h in s["ends"]]
meets = np.array([(i, len(mains) + j) for i, m in enumerate(mains) for j, c in enumerate(crosses) if cross(*ends_of(m), *ends_of(c))])
state = [dict(tight=False, T=0.0, e=0.0, hold=[None, None], prof=[1.0, 1.0], grip=False, P=0.0, age=0.0, set=0.0, fixed=False) for _ in strands]
contact = [dict(on=False, gap=0.0, along=0.0) for _ in supports]
moves = np.zeros(nA)

isMain, isCross = np.zeros((len(meets), nS)), np.zeros((len(meets), nS))
isMain[np.arange(len(meets)), meets[:, 0]] = 1
isCross[np.arange(len(meets)), meets[:, 1]] = 1

def weave(T, tight):
    """crimp and angle of every strand for a batch of tensions"""
    T = np.atleast_2d(T)
    i, j = meets[:, 0], meets[:, 1]
    ok = tight[i] & tight[j]
    i, j = i[ok], j[ok]
    x, y = pm * np.maximum(T[:, j], 0) + 1e-9, pc * np.maximum(T[:, i], 0) + 1e-9
    zm = high * x / (x + y); zc = high - zm
    ofm, ofc = isMain[ok], isCross[ok]
    crimp = 2 * N["weaving"] * (zm**2 @ ofm / pm + zc**2 @ ofc / pc)
    return crimp, 4 * (zm @ ofm / pm + zc @ ofc / pc)

def settle(joints):
    global moves
    tight = np.array([s["tight"] for s in state])
    live = np.flatnonzero(tight)
    sup = [i for i, c in enumerate(contact) if c["on"]]
    G = np.zeros((nA, len(live)))                    # actions of strands
    for col, i in enumerate(live):
        for h in state[i]["hold"]:
            if h[0] == "hoop":
                G[h[1], col] = 1
    nl, ns, nj = len(live), len(sup), len(joints)
    S = np.zeros((nA, 2 * ns))
    for c, i in enumerate(sup):
        S[push(i), c] = 1; S[hold(i), ns + c] = 1
    A = np.hstack([G, S])
    M = A.T @ F @ A
    pos = {i: c for c, i in enumerate(live)}
    fixed = np.array([state[i]["fixed"] for i in live], bool)
    e = np.array([state[i]["e"] for i in live])
    P = np.array([state[i]["P"] for i in live])
    J = np.zeros((nl, nj))
    for q, (x, y, ex_, ey) in enumerate(joints):
        J[pos[x], q] += 1; J[pos[y], q] -= 1
    E = math.exp(mu * math.pi)
    scale = 50.0
    fb = lambda u, v: u + v - np.sqrt(u * u + v * v + 1e-26)
    prof0 = np.array([state[i]["prof"] for i in live])
    outs = np.array([0 if state[i]["hold"][0][0] == "grip" else 1 for i in live])
    def ends(T, ang):
        pr = np.repeat(prof0[None], T.shape[0], 0)
        mean = np.repeat(np.zeros(nl)[None], T.shape[0], 0)
        if fixed.any():
            xx = mu * ang
            exit_ = P * math.exp(-mu * N["turn"])
            m = exit_ * np.where(xx > 1e-9, -np.expm1(-xx) / np.where(xx > 1e-9, xx, 1), 1)
            mean = m
            for c in np.flatnonzero(fixed):
                pr[:, c, outs[c]] = exit_[c] / m[:, c]
                pr[:, c, 1 - outs[c]] = exit_[c] * np.exp(-xx[:, c]) / m[:, c]
        return pr, mean
    def res(X):
        X = np.atleast_2d(X)
        T, R, H = X[:, :nl], X[:, nl:nl+ns], X[:, nl+ns:nl+2*ns]
        sp, sm = X[:, nl+2*ns:nl+2*ns+nj], X[:, nl+2*ns+nj:]
        full = np.zeros((X.shape[0], nS)); full[:, live] = T
        cr, an = weave(full, tight)
        cr, an = cr[:, live], an[:, live]
        pr, mean = ends(T, an)
        mv = X[:, :nl+2*ns] @ M
        w = T / kS[live] + mv[:, :nl] - e - cr - (sp - sm) @ J.T
        f = np.where(fixed, (T - mean) / scale, fb(T / scale, w))
        out = [f]
        gap = np.array([contact[i]["gap"] for i in sup]); along = np.array([contact[i]["along"] for i in sup])
        ks, kh = N["support"], N["hold"]
        out.append(fb(R / scale, gap + R / ks + mv[:, nl:nl+ns]))
        out.append(H / kh + mv[:, nl+ns:] - along)
        if nj:
            pa = np.stack([pr[:, pos[x], ex_] for x, y, ex_, ey in joints], 1)
            pb = np.stack([pr[:, pos[y], ey] for x, y, ex_, ey in joints], 1)
            ta, tb = T[:, [pos[j[0]] for j in joints]] * pa, T[:, [pos[j[1]] for j in joints]] * pb
            # string never moves to the strand whose mean is the lower one
            out += [fb(sp, (np.maximum(E, pb / pa) * ta - tb) / scale), fb(sm, (np.maximum(E, pa / pb) * tb - ta) / scale)]
        return np.hstack(out)
    X = np.concatenate([[state[i]["T"] if not state[i]["fixed"] else state[i]["P"] for i in live], [contact[i].get("R", 0.0) for i in sup], [contact[i].get("H", 0.0) for i in sup], np.zeros(2 * nj)])
    X[:nl] = np.maximum(X[:nl], 1e-3)
    r = res(X)[0]
    for it in range(300):
        if np.abs(r).max() < 1e-11:
            break
        h = 1e-6 * np.maximum(1, np.abs(X))
        Jac = ((res(X[None] + np.diag(h)) - res(X[None] - np.diag(h))) / (2 * h)[:, None]).T
        try:
            d = np.linalg.solve(Jac, -r)
        except np.linalg.LinAlgError:
            d = np.linalg.lstsq(Jac, -r, rcond=None)[0]
        step = 1.0
        while step > 1e-4:
            r2 = res(X + step * d)[0]
            if r2 @ r2 < (1 - 1e-4 * step) * (r @ r):
                break
            step /= 2
        X = X + step * d; r = res(X)[0]
    if "trace" in inp:
        print(it, nl, nj, np.abs(r).max(), file=sys.stderr)
    worst = np.abs(r).max()
    if worst > 1e-7:
        raise SystemExit("does not settle: %g" % worst)
    T = X[:nl]
    full = np.zeros((1, nS)); full[0, live] = T
    cr, an = weave(full, tight)
    load = A @ X[:nl+2*ns]
    moves = F @ load
    slip = X[nl+2*ns:nl+2*ns+nj] - X[nl+2*ns+nj:]
    pr, mean = ends(T[None], an[:, live])
    for c, i in enumerate(live):
        s = state[i]
        s["T"] = max(T[c], 0.0)
        give = sum(moves[h[1]] for h in s["hold"] if h[0] == "hoop")
        if s["fixed"]:
            s["e"] = s["T"] / kS[i] + give - cr[0, i]
            s["prof"] = list(pr[0, c]); s["set"] = s["T"]
        else:
            s["e"] += (J @ slip)[c] if nj else 0
    for c, i in enumerate(sup):
        contact[i]["R"], contact[i]["H"] = X[nl+c], X[nl+ns+c]

# --- the plan's ops, for two pieces with fixed clamps and no mishap
laid, tightset, lines, clamps, gripper, knots = {}, set(), [], {}, None, set()
def held(s, h):
    return gripper == (s, h) or any(c[0] == s and c[1] == h for c in clamps.values()) or (s, h) in knots
def neighbours(s, h):
    """the strand and hole by which the string goes on from a strand's hole"""
    for line in lines:
        flat = [(x, q) for x, p1, p2 in line for q in (p1, p2)]
        for q, it in enumerate(flat):
            if it == (s, h):
                o = q + 1 if q % 2 else q - 1
                return flat[o] if 0 <= o < len(flat) else None
end = lambda s, h: strands[at[s]]["ends"].index(h)
def crept(k, t):
    return N["creep"][k] * math.log1p(t / 60) / math.log1p(86400 / 60)
def apart(p, q):
    d = abs(int(p) - int(q))
    return min(d, inp["total"] - d)
place = inp["places"]                                # of every name of a hole

def draw():
    """what the gripper draws tight, back to the next holder"""
    s, h = gripper
    if any(c[0] == s and c[1] == h and not c[2] for c in clamps.values()):
        return
    while True:
        tightset.add(s)
        other = [x for x in laid[s] if x != h][0]
        if held(s, other):
            return
        nxt = neighbours(s, other)
        if nxt is None or held(*nxt):
            return
        s, h = nxt

out = []
turn, mounted, pulled_at = 0, [], {}
for step in inp["plan"]["steps"]:
    for o in step["ops"]:
        op, touched, was_gripper, passed = o["op"], True, gripper, 0
        if op == "mount":
            mounted.append(o["support"])
        elif op == "dismount":
            mounted.remove(o["support"])
        elif op in ("thread", "weave"):
            f, t = place[o["from"]], place[o["to"]]
            laid[o["strand"]] = (f, t)
            tails = [(apart(tip, f), n, at_end) for n, line in enumerate(lines) for at_end, owner, tip in ((0, line[0][0], line[0][1]), (1, line[-1][0], line[-1][2])) if owner == o["after"]]
            if not tails:
                lines.append([(o["strand"], f, t)])
            elif min(tails)[2]:
                lines[min(tails)[1]].append((o["strand"], f, t))
            else:
                lines[min(tails)[1]].insert(0, (o["strand"], t, f))
            touched = False
        elif op == "pull":
            gripper = (o["strand"], place[o["hole"]])
            passed = 1; pulled_at[o["strand"]] = o["newtons"]
            draw()
        elif op == "clamp":
            clamps[o["clamp"]] = (o["strand"], place[o["hole"]], o["outside"])
        elif op == "unclamp":
            del clamps[o["clamp"]]
            if gripper:
                draw()
        elif op == "release":
            gripper = None
        elif op == "tie":
            knots.add((o["strand"], place[o["out"]]))
        else:
            touched = False
        if not touched:
            continue
        if passed:
            for i, s in enumerate(state):
                if s["tight"]:
                    was = crept(kind[i], s["age"]); s["age"] += N["pace"]
                    if not s["fixed"]:
                        s["e"] -= s["set"] / kS[i] * (crept(kind[i], s["age"]) - was)
        for i, sp in enumerate(supports):
            is_on, c = any(inp["groups"][m] == sp["group"] for m in mounted), contact[i]
            if is_on and not c["on"]:
                contact[i] = dict(on=True, gap=N["gap"] - moves[push(i)], along=moves[hold(i)])
            if not is_on:
                contact[i] = dict(on=False, gap=0, along=0)
        if was_gripper and was_gripper != gripper and state[at[was_gripper[0]]]["grip"]:
            s = state[at[was_gripper[0]]]; s["e"] -= N["drawback"]; s["grip"] = False
        fresh = []
        for i, d in enumerate(strands):
            name = d["name"]
            if name not in tightset:
                continue
            s, new = state[i], []
            for q, h in enumerate(d["ends"]):
                inside = any(c[0] == name and c[1] == h and not c[2] for c in clamps.values())
                new.append(("ground",) if inside else ("grip",) if gripper == (name, h) else ("hoop", 2 * i + q))
            if not s["tight"]:
                s.update(tight=True, hold=new, T=0.0, prof=[1.0, 1.0]); fresh.append(i)
            else:
                for q in range(2):
                    old = s["hold"][q]
                    if old[0] != "hoop" and new[q][0] == "hoop":
                        s["e"] += moves[new[q][1]]
                        if old[0] == "ground" and (name, d["ends"][q]) in knots:
                            s["e"] -= N["knot"]
                    if old[0] == "hoop" and new[q][0] != "hoop":
                        s["e"] -= moves[old[1]]
                s["hold"] = new
            if any(h[0] == "grip" for h in new):
                if not s["grip"]:
                    s.update(grip=True, fixed=True, P=pulled_at[gripper[0]], age=0.0)
            else:
                s["fixed"] = False
        if fresh:
            tight = np.array([s["tight"] for s in state])
            cr, _ = weave(np.array([s["T"] for s in state]), tight)
            for i in fresh:
                s = state[i]
                s["e"] = sum(moves[h[1]] for h in s["hold"] if h[0] == "hoop") - cr[0, i]
        joints = []
        for line in lines:
            for (x, x1, x2), (y, y1, y2) in zip(line, line[1:]):
                if x in tightset and y in tightset and not held(x, x2) and not held(y, y1):
                    joints.append((at[x], at[y], end(x, x2), end(y, y1)))
        settle(joints)
    out.append(dict(T=[s["T"] for s in state], length=moves[-2], width=moves[-1], R=[c.get("R", 0) for c in contact]))
json.dump(out, sys.stdout)
