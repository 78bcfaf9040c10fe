#!/usr/bin/env python3
"""The program's flow solver beside general ones, on one tree of 1,000 ducts.

The equations are those of random_trees.py, written for whole arrays so that the
general solvers are not slowed down by the language: Newton's method with a sparse
Jacobian from differences (columns that share no row are moved together) and
SuperLU, and scipy's Newton-Krylov. MINPACK's hybrd, which keeps a dense matrix,
takes minutes at this size; --hybrd runs it too.

    apt-get install python3-scipy
    ./against_newton.py DIR              writes DIR/tree-1000.yaml and expected-1000.json, prints seconds
    LOSTAIR_TREE=DIR go test ./diagnose/airflow -run xxx -bench GeneralTree
"""
import json
import math
import os
import random
import sys
import time

import numpy as np
from scipy.optimize import root
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from scipy.special import lambertw

import random_trees as rt


class Large(rt.Tree):
    """A tree of many ducts, all gates open, air drawn by a fan to match."""

    ducts_wanted = 1000

    def grow(self):
        r = self.r
        self.inlet = 900
        q = round(12 * 3600 * (self.inlet / 1000) ** 2)
        self.curve = [(0, 4000), (q // 2, 3900), (q, 3000), (3 * q // 2, 1600), (2 * q, 0)]
        self.cyclone, self.filter, self.air = (500, q), (150, q), None
        self.order = ["cyclone", "fan", "filter"]
        self.add(None, self.inlet, "collector")
        ends = [0]
        while len(self.ducts) < self.ducts_wanted:
            p = ends.pop(r.randrange(min(3, len(ends))))
            for _ in range(r.choice([2, 2, 3])):
                if len(self.ducts) < self.ducts_wanted:
                    self.add(p, max(100, round(self.ducts[p]["dia"] * r.uniform(0.6, 0.75))), "")
                    ends.append(len(self.ducts) - 1)
        for i, d in enumerate(self.ducts):
            d["id"] = "duct-%d" % i
            if not d["kids"]:
                d["port"] = len(self.ports)
                self.ports.append({"id": "port-%d" % i, "duct": i, "hood": r.choice(["plain", "tapered"])})

    def state(self):
        self.open, self.hose_off, self.speed, self.filter_x = [], [], 1.0, 1.2
        self.leaks = {d["id"]: round(self.r.uniform(1, 20), 1) for d in self.ducts if self.r.random() < 0.05}

    def arrays(self):
        P = self.P
        g = lambda k: np.array([p[k] for p in P], float)
        self.parent = np.array([-1 if p["parent"] is None else p["parent"] for p in P])
        self.area, self.k0, self.hole, self.seep = g("area"), g("K"), g("hole"), g("seep")
        self.dia, self.length, self.rel = g("dia"), g("len"), g("rel")
        self.port = np.array([p["node"] == "port" for p in P])
        self.section_node = np.array([p["node"] == "section" for p in P])
        self.takes = g("takes")
        self.bring = 2 * g("cos") * self.area / np.where(self.parent >= 0, self.area[self.parent], 1)
        self.bring = np.array([p.get("bring", b) for p, b in zip(P, self.bring)])
        self.has = [x for x, p in enumerate(P) if p["has"]]

    def frictions(self, q):
        re = np.maximum(self.rho * np.abs(q) / self.area * self.dia / self.mu, 1e-3)
        rel = self.rel
        a, b, k = rel / 3.7, 2.51 / re, 2 / math.log(10)
        with np.errstate(over="ignore", invalid="ignore"):
            w = lambertw(np.exp(np.minimum(a / (b * k), 600) - np.log(b * k))).real
            z = a / (b * k) - np.log(b * k)
            big = z > 500
            v = np.where(big, z - np.log(np.maximum(z, 1)), 1.0)
            for _ in range(6):
                v = v - (v + np.log(v) - z) / (1 + 1 / v)
            w = np.where(big, v, w)
        x = (b * k * w - a) / b
        turbulent = 1 / (x * x)
        u = np.clip((re - 2000) / 2000, 0, 1)
        s = u * u * (3 - 2 * u)
        return np.where(re >= 4000, turbulent, 64 / re * (1 - s) + s * turbulent)

    def residuals(self, z):
        n = len(self.P)
        q, p = z[:n] * self.qs, z[n:] * self.ps
        v = self.rho / 2 * (q / self.area) ** 2
        k = self.k0 + np.where(self.length > 0, self.frictions(q) * self.length / self.dia, 0)
        loss = k * np.sign(q) * v
        for x in self.has:  # the collector's two
            loss[x] = self.loss(x, q[x])
        below = np.where(self.parent >= 0, p[self.parent], 0)
        one, two, flow = np.zeros(n), np.zeros(n), np.zeros(n)
        kids = np.arange(n)[self.parent >= 0]
        to = self.parent[self.parent >= 0]
        np.add.at(one, to, v[kids])
        np.add.at(two, to, self.bring[kids] * v[kids])
        np.add.at(flow, to, q[kids])
        h = np.where(self.section_node, v - one, self.takes * v - two)
        e = (p * p + rt.LEAK_SMOOTH ** 2)
        inflow = -self.hole * rt.CD * math.sqrt(2 / self.rho) * p * e ** -0.25 - self.seep * p * e ** ((rt.SEEP_EXP - 1) / 2)
        f = np.where(self.port, -np.sign(q) * v - loss - below, p - h - loss - below) / self.ps
        m = np.where(self.port, z[n:], (flow + inflow - q) / self.qs)
        return np.concatenate([f, m])

    def pattern(self):
        """Which unknown stands in which equation, and groups of unknowns that share none."""
        n = len(self.P)
        cols = [set() for _ in range(2 * n)]
        for x, p in enumerate(self.P):
            cols[x] |= {x, n + x}
            cols[n + x] |= {x, n + x}
            if p["parent"] is not None:
                cols[x] |= {p["parent"], n + p["parent"]}
            for k in p["kids"]:
                cols[n + x].add(k)
        rows_taken, group = [], []
        for c in cols:
            for i, taken in enumerate(rows_taken):
                if not (taken & c):
                    break
            else:
                i = len(rows_taken)
                rows_taken.append(set())
            rows_taken[i] |= c
            group.append(i)
        return cols, group

    def guess(self):
        n = len(self.P)
        z = np.zeros(2 * n)
        z[0] = 0.8
        for x, p in enumerate(self.P):
            w = [self.P[k]["area"] for k in p["kids"]]
            for k, wk in zip(p["kids"], w):
                z[k] = z[x] * wk / sum(w)
            z[n + x] = 0 if p["node"] == "port" else -0.5
        return z

    def newton(self, z):
        cols, group = self.pattern()
        m = len(z)
        rows = np.array([r for c in cols for r in sorted(c)])
        ptr = np.cumsum([0] + [len(c) for c in cols])
        col = np.repeat(np.arange(m), np.diff(ptr))
        group = np.array(group)
        steps = 0
        t = time.perf_counter()
        f = self.residuals(z)
        while np.max(np.abs(f)) > 1e-10 and steps < 200:
            h = 1e-7 * np.maximum(np.abs(z), 1e-3)
            data = np.zeros(len(rows))
            for g in range(group.max() + 1):
                d = np.where(group == g, h, 0)
                df = self.residuals(z + d) - f
                mine = group[col] == g
                data[mine] = df[rows[mine]] / h[col[mine]]
            step = splu(csc_matrix((data, rows, ptr), shape=(m, m))).solve(-f)
            a = 1.0
            while a > 1e-4:
                new = self.residuals(z + a * step)
                if np.linalg.norm(new) < np.linalg.norm(f):
                    break
                a /= 2
            z, f, steps = z + a * step, new, steps + 1
        return z, steps, time.perf_counter() - t, float(np.max(np.abs(f)))


def main():
    where = sys.argv[1]
    t = Large(random.Random(20261125), "tree-1000")
    t.build()
    t.qs, t.ps = t.curve[2][0] / 3600, float(t.curve[0][1])
    t.arrays()
    z0 = t.guess()
    z, steps, seconds, left = t.newton(z0)
    print("sparse Newton: %.4f s, %d steps, residual %.1e, %d unknowns" % (seconds, steps, left, len(z)))
    assert left < 1e-9, "did not converge"
    one = t.residual(z)  # the equations of random_trees.py themselves
    print("residual by random_trees.py: %.1e" % np.max(np.abs(one)))
    for method, options in [("krylov", {"fatol": 1e-10, "maxiter": 500}), ("hybr", {"xtol": 1e-12})]:
        if method == "hybr" and "--hybrd" not in sys.argv:
            continue
        begin = time.perf_counter()
        try:
            s = root(t.residuals, z0, method=method, options=options)
            print("%s: %.3f s, residual %.1e, %s" % (method, time.perf_counter() - begin, np.max(np.abs(t.residuals(s.x))), s.success))
        except Exception as e:  # a general method may fail here; say so
            print("%s: failed after %.3f s: %s" % (method, time.perf_counter() - begin, str(e)[:80]))
    n = len(t.P)
    t.solution = z[:n] * t.qs, z[n:] * t.ps
    with open(os.path.join(where, "tree-1000.yaml"), "w") as f:
        f.write(t.yaml())
    with open(os.path.join(where, "expected-1000.json"), "w") as f:
        json.dump([t.expected("tree-1000.yaml")], f)


if __name__ == "__main__":
    main()
