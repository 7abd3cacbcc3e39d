"""Log-log lines through random fan tests from scipy.stats.linregress, and quantiles of t."""

import numpy
import scipy.stats
from run import number, write

TESTS = 200
SEED = 20170


def main(outdir):
    rng = numpy.random.default_rng(SEED)
    points, lines = [], []
    for i in range(1, TESTS + 1):
        case = f"test-{i:03d}"
        count = int(rng.integers(5, 13))
        # What is stored is what is fitted: rounded as a gauge would show it.
        dp = numpy.round(numpy.sort(rng.uniform(8.0, 75.0, count)), 1)
        n, ln_c = rng.uniform(0.5, 0.8), numpy.log(rng.uniform(0.005, 0.08))
        q = numpy.exp(ln_c + n * numpy.log(dp) + rng.normal(0.0, rng.uniform(0.002, 0.08), count))
        q = numpy.array([float(f"{x:.5g}") for x in q])
        points += [[case, float(number(a)), float(number(b))] for a, b in zip(dp, q)]
        fit = scipy.stats.linregress(numpy.log(dp), numpy.log(q))
        lines.append([case, fit.slope, fit.intercept, fit.stderr, fit.intercept_stderr, fit.rvalue])
    write(outdir, "scipy-linregress", "points.csv", ["case", "dp_pa", "flow_m3_s"], points)
    write(outdir, "scipy-linregress", "lines.csv",
          ["case", "slope", "intercept", "slope_se", "intercept_se", "r"], lines)
    quantiles = []
    for dof in list(range(1, 31)) + [40, 60, 120, 1000]:
        t = scipy.stats.t(dof)
        quantiles.append([f"dof-{dof}", dof] + [t.ppf(0.5 + level / 2) for level in (0.8, 0.9, 0.95, 0.99)])
    write(outdir, "scipy-quantiles", "student_t.csv", ["case", "dof", "t80", "t90", "t95", "t99"], quantiles)
    write(outdir, "scipy-quantiles", "normal.csv", ["case", "p", "z"],
          [[f"p-{p}", p, scipy.stats.norm.ppf(p)] for p in (0.005, 0.025, 0.05, 0.25, 0.75, 0.95, 0.975, 0.995)])
