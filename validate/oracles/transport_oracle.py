"""Exact answers for what the air carries under constant flows, by scipy.linalg.expm.

Writes cases.csv: one row a zone. Columns: case, zone, duration_s, capacity, lost, input, start,
transfer to zones 0..7 (empty beyond the case's zones), end. The system is
capacity[i] dx[i]/dt = sum_j transfer[j][i] x[j] - (sum_i transfer[j][i] + lost) x + input.
"""

import csv
import os

import numpy as np
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
    os.makedirs(outdir, exist_ok=True)
    with open(os.path.join(outdir, "cases.csv"), "w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(
            ["case", "zone", "duration_s", "capacity", "lost", "input", "start"]
            + [f"to_{i}" for i in range(MOST_ZONES)]
            + ["end"]
        )
        for number in range(CASES):
            zones = 2 + number % (MOST_ZONES - 1)
            duration, capacity, transfer, lost, source, start = case(rng, zones)
            end = exact(duration, capacity, transfer, lost, source, start)
            for zone in range(zones):
                cells = [duration, capacity[zone], lost[zone], source[zone], start[zone]]
                row = [repr(float(v)) for v in transfer[zone]] + [""] * (MOST_ZONES - zones)
                writer.writerow([number, zone] + [repr(float(v)) for v in cells] + row + [repr(float(end[zone]))])


if __name__ == "__main__":
    main("validate/data/transport-expm")
