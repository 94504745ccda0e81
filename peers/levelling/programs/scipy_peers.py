"""The same lanes and necks by scipy. Usage: scipy_peers.py WHAT FILE [COUNT]

WHAT is removal, zone or hull (FILE: the lanes' file; the first COUNT lanes), or
refit (FILE: the necks' file). One answer a line on standard output, the time a
lane or a neck, in microseconds, on standard error.
"""
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.spatial import ConvexHull

TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


def lanes_of(path):
    with open(path) as f:
        lanes, n, width = f.readline().split()
        n = int(n)
        for _ in range(int(lanes)):
            x = np.array(f.readline().split(), float)
            z = np.array(f.readline().split(), float)
            yield x, z, float(width)


def scaled(x):
    return (x - x[0]) / (x[-1] - x[0])


def removal(x, d, width):
    n, s = len(x), scaled(x)
    line = np.column_stack([np.ones(n), s])
    a = np.block([[-line, -np.eye(n)], [line, np.zeros((n, n))]])
    b = np.concatenate([-d, d + width])
    r = linprog(np.r_[0, 0, np.ones(n)], A_ub=a, b_ub=b,
                bounds=[(None, None)] * 2 + [(0, None)] * n, method="highs", options=TIGHT)
    return r.fun


def zone(x, z, _):
    n, s = len(x), scaled(x)
    line, half = np.column_stack([np.ones(n), s]), np.full((n, 1), -.5)
    a = np.block([[-line, half], [line, half]])
    r = linprog([0, 0, 1], A_ub=a, b_ub=np.r_[-z, z],
                bounds=[(None, None)] * 2 + [(0, None)], method="highs", options=TIGHT)
    return r.fun


def hull(x, z, _):
    """Width between parallel lines along each hull edge, the least of them."""
    p = np.column_stack([x, z])
    h = ConvexHull(p)
    n = h.equations[np.abs(h.equations[:, 1]) > 1e-300]
    off = z[:, None] + np.outer(x, n[:, 0] / n[:, 1])
    return np.min(off.max(0) - off.min(0))


def refit(x, d, width, size):
    """Least total with exactly `size` frets out, d being lanes by frets."""
    lanes, n = d.shape
    s = scaled(x)
    big = 0.5
    cols = 2 * lanes + lanes * n + n
    rows, low = [], []
    for k in range(lanes):
        for f in range(n):
            r = np.zeros(cols)
            r[2 * k: 2 * k + 2] = [1, s[f]]
            r[2 * lanes + lanes * n + f] = big
            q = -r
            q[2 * lanes + lanes * n + f] = big
            r[2 * lanes + k * n + f] = 1
            rows += [r, q]
            low += [d[k, f], -d[k, f] - width]
    count = np.zeros(cols)
    count[-n:] = 1
    c = np.r_[np.zeros(2 * lanes), np.ones(lanes * n), np.zeros(n)]
    bounds = Bounds(np.r_[np.full(2 * lanes, -np.inf), np.zeros(lanes * n + n)],
                    np.r_[np.full(2 * lanes + lanes * n, np.inf), np.ones(n)])
    r = milp(c, integrality=np.r_[np.zeros(2 * lanes + lanes * n), np.ones(n)], bounds=bounds,
             constraints=[LinearConstraint(np.array(rows), np.array(low), np.inf),
                          LinearConstraint(count[None, :], size, size)],
             options={"mip_rel_gap": 0})
    return r.fun, np.flatnonzero(r.x[-n:] > .5) + 1


def main():
    what, path = sys.argv[1:3]
    spent = 0.0
    if what == "refit":
        with open(path) as f:
            necks, lanes, n, width = f.readline().split()
            for _ in range(int(necks)):
                sizes = int(f.readline())
                x = np.array(f.readline().split(), float)
                d = np.array([f.readline().split() for _ in range(int(lanes))], float)
                for size in range(1, sizes + 1):
                    start = time.perf_counter()
                    total, out = refit(x, d, float(width), size)
                    spent += time.perf_counter() - start
                    print(total, *out)
        print("time_us", spent * 1e6 / int(necks), file=sys.stderr)
        return
    solve = {"removal": removal, "zone": zone, "hull": hull}[what]
    lanes = list(lanes_of(path))[:int(sys.argv[3])]
    least, answers = np.full(len(lanes), np.inf), np.zeros(len(lanes))
    begin = time.perf_counter()
    while time.perf_counter() - begin < 2:  # each lane's shortest time of many rounds
        for k, lane in enumerate(lanes):
            start = time.perf_counter()
            answers[k] = solve(*lane)
            least[k] = min(least[k], time.perf_counter() - start)
    print("\n".join(repr(float(a)) for a in answers))
    print("time_us", least.mean() * 1e6, file=sys.stderr)


main()
