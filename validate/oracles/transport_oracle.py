"""Exact answers for what the air carries under constant flows, by scipy.linalg.expm.

One row a zone; transfer to zones 0..7, empty beyond the case's zones. The system is
capacity[i] dx[i]/dt = sum_j transfer[j][i] x[j] - (sum_i transfer[j][i] + lost) x + input.
"""

import numpy as np
from run import number, write
from scipy.linalg import expm

MOST_ZONES = 8
CASES = 24


def case(rng, zones):
    capacity = 10 ** rng.uniform(1.0, 3.0, zones)
    transfer = 10 ** rng.uniform(-4.0, -0.5, (zones, zones)) * (rng.uniform(size=(zones, zones)) < 0.6)
    np.fill_diagonal(transfer, 0.0)
    lost = 10 ** rng.uniform(-4.0, -1.0, zones)
    source = 10 ** rng.uniform(-2.0, 1.0, zones) * (rng.uniform(size=zones) < 0.7)
    start = rng.uniform(0.0, 2000.0, zones)
    duration = 10 ** rng.uniform(1.0, 4.5)
    return duration, capacity, transfer, lost, source, start


def exact(duration, capacity, transfer, lost, source, start):
    zones = len(start)
    rate = transfer.T - np.diag(transfer.sum(axis=1) + lost)
    whole = np.zeros((zones + 1, zones + 1))
    whole[:zones, :zones] = rate / capacity[:, None]
    whole[:zones, zones] = source / capacity
    return (expm(whole * duration) @ np.append(start, 1.0))[:zones]


def main(outdir):
    rng = np.random.default_rng(20240611)
    rows = []
    # What is stored is what is solved.
    kept = np.vectorize(lambda value: float(number(value)))
    for index in range(CASES):
        zones = 2 + index % (MOST_ZONES - 1)
        duration, capacity, transfer, lost, source, start = (kept(part) for part in case(rng, zones))
        end = exact(duration, capacity, transfer, lost, source, start)
        for zone in range(zones):
            to = [*transfer[zone], *[""] * (MOST_ZONES - zones)]
            rows.append([
                f"case-{index:02d}", zone, duration, capacity[zone], lost[zone], source[zone], start[zone],
                *to, end[zone],
            ])
    header = ["case", "zone", "duration_s", "capacity", "lost", "input", "start"]
    write(outdir, "transport-expm", "cases.csv", header + [f"to_{i}" for i in range(MOST_ZONES)] + ["end"], rows)
