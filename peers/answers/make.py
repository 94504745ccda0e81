"""Writes the answers of an independent solver that the Go tests compare with.

Lanes and necks are drawn with a fixed seed; scipy's HiGHS solves each as a plain
linear program. Run from the repository root:

    /usr/bin/python3 peers/answers/make.py

Output: internal/straight/testdata/highs.json, internal/level/testdata/highs.json.
"""
import json
import os

import numpy as np
import scipy
from scipy.optimize import linprog

RNG = np.random.default_rng(20240)
SOLVER = f"scipy {scipy.__version__}, linprog method highs-ds, tolerances 1e-10"


def solve(c, a, b, bounds):
    """Least c.v with a.v <= b; None where no v exists."""
    r = linprog(c, A_ub=np.array(a), b_ub=np.array(b), bounds=bounds, method="highs-ds",
                options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10})
    if r.status == 2:
        return None
    assert r.status == 0, r.message
    return r.fun


FREE = (None, None)
PLUS = (0, None)


def places(n):
    return 640 * (1 - 2 ** (-np.arange(1, n + 1) / 12))


def lane(n, scatter, bad):
    z = scatter * RNG.standard_normal(n) + RNG.normal() * 1e-4 * places(n) + 0.4
    for _ in range(bad):
        z[RNG.integers(n)] += 0.08 * (RNG.random() - 0.3)
    return z


def zone(x, z):
    """Least width of |z - a - b x| <= width/2; x is scaled to the lane's length."""
    s = (x - x[0]) / (x[-1] - x[0])
    a, b = [], []
    for si, zi in zip(s, z):
        a.append([-1, -si, -0.5]); b.append(-zi)
        a.append([1, si, -0.5]); b.append(zi)
    return solve([0, 0, 1], a, b, [FREE, FREE, PLUS])


def lad(x, z):
    """Least sum of |z - a - b x|."""
    n = len(x)
    s = (x - x[0]) / (x[-1] - x[0])
    a, b = [], []
    for i in range(n):
        e = [0.0] * n
        e[i] = -1
        a.append([-1, -s[i]] + e); b.append(-z[i])
        a.append([1, s[i]] + e); b.append(z[i])
    return solve([0, 0] + [1] * n, a, b, [FREE, FREE] + [PLUS] * n)


def removal(x, d, width, most=None):
    """Least sum of removals r >= d - a - b x, a + b x <= d + width, r <= most."""
    n = len(x)
    s = (x - x[0]) / (x[-1] - x[0])
    a, b = [], []
    for i in range(n):
        e = [0.0] * n
        e[i] = -1
        a.append([-1, -s[i]] + e); b.append(-d[i])
        a.append([1, s[i]] + [0.0] * n); b.append(d[i] + width)
    bounds = [FREE, FREE] + [(0, None if most is None else most[i]) for i in range(n)]
    return solve([0, 0] + [1] * n, a, b, bounds)


def free_line(x, d, width):
    """The target line of the least removal without a limit."""
    n = len(x)
    s = (x - x[0]) / (x[-1] - x[0])
    a = [[-1, -si] + [-1.0 if j == i else 0.0 for j in range(n)] for i, si in enumerate(s)]
    a += [[1, si] + [0.0] * n for si in s]
    r = linprog([0, 0] + [1] * n, A_ub=a, b_ub=list(-d) + list(d + width),
                bounds=[FREE, FREE] + [PLUS] * n, method="highs-ds")
    return [r.x[0] + r.x[1] * si for si in s]


def fair(lanes, width):
    """Least sum of removals that are one parabola >= 0 across each fret, in
    monomials of the lane's number: another basis than the program's own."""
    x = lanes["x"]
    d = np.array(lanes["d"])
    count, n = d.shape
    s = (x - x[0]) / (x[-1] - x[0])
    size = 2 * count + 3 * n
    c = np.zeros(size)
    a, b = [], []
    for f in range(n):
        for k in range(count):
            y = k / (count - 1)
            r = np.zeros(size)
            r[2 * count + 3 * f: 2 * count + 3 * f + 3] = [1, y, y * y]
            c += r
            t = np.zeros(size)
            t[2 * k: 2 * k + 2] = [1, s[f]]
            a.append(-r); b.append(0)
            a.append(-t - r); b.append(-d[k][f])
            a.append(t + r); b.append(d[k][f] + width)
    return solve(c, a, b, [FREE] * size)


def straight_cases():
    cases = []
    for k in range(40):
        n = int(RNG.integers(3, 37))
        x, z = places(n), lane(n, [.004, .02][k % 2], k % 4)
        cases.append({"x": list(x), "z": list(z), "zone": zone(x, z), "sum": lad(x, z)})
    return cases


def level_cases():
    cases = []
    for k in range(60):
        n = int(RNG.integers(3, 37))
        x, d = places(n), lane(n, [.006, .02][k % 2], k % 5)
        width = [.03, .015, 0.0][k % 3]
        # The crown that loses most in the free plan may lose a little less.
        r = np.maximum(0, d - np.array(free_line(x, d, width)))
        most = list(np.full(n, 1.0))
        most[int(np.argmax(r))] = max(r) * RNG.uniform(.7, 1.02)
        cases.append({"x": list(x), "d": list(d), "zone": width, "total": removal(x, d, width),
                      "most": most, "within": removal(x, d, width, most)})
    return cases


def fair_cases():
    cases = []
    for k in range(10):
        n, count = [(12, 6), (24, 6), (22, 7)][k % 3]
        x = places(n)
        rows = []
        off = np.zeros(n)
        off[RNG.integers(n)] += .05
        tilt = .03 * RNG.standard_normal(n) * (RNG.random(n) < .2)
        for lane_no in range(count):
            y = lane_no / (count - 1) - .5
            rows.append(list(.003 * (1 + k % 4) * RNG.standard_normal(n) + off + tilt * y))
        lanes = {"x": x, "d": rows}
        cases.append({"x": list(x), "d": rows, "zone": .03, "total": fair(lanes, .03)})
    return cases


def write(path, cases):
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w") as f:
        json.dump({"solver": SOLVER, "made_by": "peers/answers/make.py", **cases}, f)
        f.write("\n")


write("internal/straight/testdata/highs.json", {"lanes": straight_cases()})
write("internal/level/testdata/highs.json", {"lanes": level_cases(), "necks": fair_cases()})
