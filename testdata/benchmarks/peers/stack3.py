"""stack-3 with numpy, as an expert writes it: one array an input, 8,192 samples at a time.

    python3 stack3.py speed; python3 stack3.py sums

Prints what stack3.c prints.
"""
import os
import sys
import time

os.environ.setdefault('OMP_NUM_THREADS', '1')
os.environ.setdefault('OPENBLAS_NUM_THREADS', '1')
sys.dont_write_bytecode = True

import numpy as np
from stack3kernel import evaluate

THICK = [120.0, 25.0, 90.0]
QUANTILES = [0.00135, 0.5, 0.9973, 0.99865]
CHUNK = 8192


def normal(r, n, mu, sd):
    z = r.standard_normal(n)
    z *= sd
    z += mu
    return z


def cut(r, n, mu, sd):
    z = r.standard_normal(n)
    bad = np.flatnonzero(np.abs(z) > 3)
    while bad.size:
        z[bad] = r.standard_normal(bad.size)
        bad = bad[np.abs(z[bad]) > 3]
    z *= sd
    z += mu
    return z


def draw(r, n):
    x = [None] * 41
    for p in range(3):
        x[3 * p] = cut(r, n, 0, 5e-5)
        x[3 * p + 1] = cut(r, n, 0, 5e-5)
        x[3 * p + 2] = normal(r, n, THICK[p], 0.02)
    for j in range(2):
        x[9 + 4 * j] = normal(r, n, 120.012, 0.004)
        x[10 + 4 * j] = normal(r, n, 120.0, 0.004)
        x[11 + 4 * j] = r.random(n)
        x[12 + 4 * j] = r.random(n)
        x[17 + 2 * j] = normal(r, n, 0.012, 0.005)
        x[18 + 2 * j] = r.integers(0, 2, n, dtype=np.int8) * 2.0 - 1.0
    for i in range(21, 31):
        x[i] = normal(r, n, 0, 0.005)
    for i in range(31, 41):
        x[i] = normal(r, n, 0, 1e-4)
    return x


def run(n, seed):
    r = np.random.default_rng(seed)
    out = np.empty((11, n))
    for at in range(0, n, CHUNK):
        m = min(CHUNK, n - at)
        evaluate(draw(r, m), out[:, at:at + m])
    return [(len(y), y.mean(), y.std(ddof=1), y.min(), y.max(), np.quantile(y, QUANTILES)) for y in out]


if sys.argv[1:] == ['sums']:
    for k, s in enumerate(run(1 << 18, 5)):
        print(f'S {k} {s[0]} {s[1]:.12g} {s[2]:.9g}')
else:
    best = wall = 0
    for _ in range(3):
        start, seen = time.process_time(), time.perf_counter()
        run(65536, 1)
        best = max(best, 65536 / (time.process_time() - start))
        wall = max(wall, 65536 / (time.perf_counter() - seen))
    print(f'R {best:.6g} {wall:.6g}')
