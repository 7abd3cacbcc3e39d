"""Power laws through fan tests with stated errors in both axes, from scipy.odr."""

import warnings

import numpy
from run import number, write

with warnings.catch_warnings():
    # Deprecated in favour of another package; the algorithm is ODRPACK's either way.
    warnings.simplefilter("ignore", DeprecationWarning)
    import scipy.odr

TESTS = 60
SEED = 41205


def main(outdir):
    rng = numpy.random.default_rng(SEED)
    points, lines = [], []
    for i in range(1, TESTS + 1):
        case = f"test-{i:03d}"
        count = int(rng.integers(4, 13))
        true = numpy.sort(rng.uniform(12.0, 75.0, count))
        n, ln_c = rng.uniform(0.5, 0.8), numpy.log(rng.uniform(0.005, 0.08))
        dp_sd = rng.uniform(0.2, 2.0, count)
        q_sd = rng.uniform(0.003, 0.05, count)
        dp = numpy.round(true + rng.normal(0.0, dp_sd), 2)
        q = numpy.exp(ln_c + n * numpy.log(true) + rng.normal(0.0, q_sd))
        q = numpy.array([float(f"{x:.6g}") for x in q])
        dp_sd, q_sd = numpy.round(dp_sd, 3), numpy.round(q_sd, 4)
        points += [[case, float(number(a)), float(number(b)), float(number(c)), float(number(d))]
                   for a, b, c, d in zip(dp, q, dp_sd, q_sd)]
        model = scipy.odr.Model(lambda beta, x: beta[0] + beta[1] * numpy.log(x))
        data = scipy.odr.RealData(dp, numpy.log(q), sx=dp_sd, sy=q_sd)
        fit = scipy.odr.ODR(data, model, beta0=[ln_c, n], sstol=1e-15, partol=1e-15, maxit=1000)
        # Derivatives by central differences.
        fit.set_job(fit_type=0, deriv=1)
        out = fit.run()
        # cov_beta is not scaled by the residual variance, sd_beta is.
        se = numpy.sqrt(numpy.diag(out.cov_beta))
        lines.append([case, out.beta[0], out.beta[1], se[0], se[1]])
    write(outdir, "scipy-odr", "points.csv", ["case", "dp_pa", "flow_m3_s", "dp_sd_pa", "flow_sd"], points)
    write(outdir, "scipy-odr", "lines.csv", ["case", "ln_c", "n", "ln_c_se", "n_se"], lines)
