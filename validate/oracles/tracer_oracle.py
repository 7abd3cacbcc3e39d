"""Random decays and build-ups through scipy.optimize, and two rooms through scipy's least squares."""

import numpy
import scipy.linalg
import scipy.optimize
import scipy.stats
from run import number, write

SEED = 5741
DECAYS = 40
ROOMS = 12


def kept(x):
    return float(number(x))


def fitted(row):
    """Seven digits: what an optimum is good for on every machine."""
    return [x if isinstance(x, str) else float(format(x, ".7g")) for x in row]


def curve(t, end, excess, rate):
    return end + excess * numpy.exp(-rate * t)


def one(rng, i):
    """A record in ppm over hours: falling in even cases, rising in odd ones."""
    rate = rng.uniform(0.2, 2.0)
    count = int(rng.integers(12, 19))  # below twenty: no correlation of neighbours is taken off
    hours = numpy.linspace(0.0, rng.uniform(1.5, 4.0) / rate, count)
    background = round(rng.uniform(400.0, 450.0), 1)
    excess = rng.uniform(400.0, 1500.0)
    falls = i % 2 == 0
    clean = background + excess * (numpy.exp(-rate * hours) if falls else 1.0 - numpy.exp(-rate * hours))
    ppm = numpy.round(clean + rng.normal(0.0, rng.uniform(2.0, 8.0), count), 1)
    hours = numpy.array([kept(h) for h in hours])
    return hours, ppm, background, falls


def free(hours, ppm, falls):
    start = [ppm[-1], ppm[0] - ppm[-1], 1.0]
    p, cov = scipy.optimize.curve_fit(curve, hours, ppm, p0=start, maxfev=20000, xtol=1e-14, ftol=1e-14)
    return p, numpy.sqrt(numpy.diag(cov))


def held(hours, ppm, start, scatter, mean, sd):
    """With what is known of the end value as one more residual."""
    def residuals(p):
        return numpy.append((ppm - curve(hours, *p)) / scatter, (mean - p[0]) / sd)
    fit = scipy.optimize.least_squares(residuals, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    return fit.x, numpy.sqrt(numpy.diag(numpy.linalg.inv(fit.jac.T @ fit.jac)))


def step(volumes, flows, hours):
    """Transition of the excess over outdoors in two rooms, m3/h and m3."""
    q1, q2, m = flows
    a = numpy.array([[-(q1 + m) / volumes[0], m / volumes[0]], [m / volumes[1], -(q2 + m) / volumes[1]]])
    return scipy.linalg.expm(a * hours)


def rooms(volumes, p, count, hours):
    go = step(volumes, p[:3], hours)
    state, out = numpy.array(p[3:5]), []
    for _ in range(count):
        out.append(state)
        state = go @ state
    return numpy.array(out)


def main(outdir):
    rng = numpy.random.default_rng(SEED)
    points, fits = [], []
    for i in range(DECAYS):
        case = f"{'decay' if i % 2 == 0 else 'rise'}-{i:02d}"
        hours, ppm, background, falls = one(rng, i)
        points += [[case, h, c] for h, c in zip(hours, ppm)]
        p, se = free(hours, ppm, falls)
        scatter = numpy.sqrt(numpy.sum((ppm - curve(hours, *p)) ** 2) / (len(ppm) - 3))
        mean, sd = round(float(p[0] + rng.normal(0.0, 5.0)), 2), 5.0
        q, q_se = held(hours, ppm, p, scatter, mean, sd)
        line = [0.0, 0.0]
        if falls:
            above = ppm > background
            fit = scipy.stats.linregress(hours[above], numpy.log(ppm[above] - background))
            line = [-fit.slope, fit.stderr]
        fits.append([case, kept(background), p[2], se[2], p[0], se[0], mean, sd, q[2], q_se[2], q[0], q_se[0]] + line)
    write(outdir, "scipy-decays", "points.csv", ["case", "time_h", "gas_ppm"], points)
    write(outdir, "scipy-decays", "fits.csv",
          ["case", "background_ppm", "free_rate_h", "free_rate_se_h", "free_end_ppm", "free_end_se_ppm",
           "prior_mean_ppm", "prior_sd_ppm", "held_rate_h", "held_rate_se_h", "held_end_ppm", "held_end_se_ppm",
           "line_rate_h", "line_rate_se_h"], [fitted(f) for f in fits])

    points, fits = [], []
    for i in range(ROOMS):
        case = f"rooms-{i:02d}"
        volumes = [kept(v) for v in numpy.round(rng.uniform([20.0, 60.0], [50.0, 300.0]), 1)]
        flows = rng.uniform([5.0, 20.0, 10.0], [40.0, 150.0, 120.0])
        count, hours = 19, 0.25
        truth = list(flows) + [rng.uniform(900.0, 2000.0), rng.uniform(50.0, 400.0)]
        ppm = numpy.round(420.0 + rooms(volumes, truth, count, hours) + rng.normal(0.0, 3.0, (count, 2)), 1)
        points += [[case, hours * k, a, b] for k, (a, b) in enumerate(ppm)]

        def residuals(p):
            return (ppm - 420.0 - rooms(volumes, p, count, hours)).ravel()
        fit = scipy.optimize.least_squares(
            residuals, truth, bounds=([0, 0, 0, -numpy.inf, -numpy.inf], numpy.inf), x_scale="jac",
            xtol=1e-15, ftol=1e-15, gtol=1e-15)
        dof = 2 * count - 5
        scatter = numpy.sqrt(2.0 * fit.cost / dof)
        se = scatter * numpy.sqrt(numpy.diag(numpy.linalg.inv(fit.jac.T @ fit.jac)))
        fits.append([case] + volumes + list(fit.x[:3]) + list(se[:3]) + [scatter, scipy.stats.t.ppf(0.975, dof)])
    write(outdir, "scipy-two-rooms", "points.csv", ["case", "time_h", "first_ppm", "second_ppm"], points)
    write(outdir, "scipy-two-rooms", "fits.csv",
          ["case", "first_m3", "second_m3", "outdoor_first_m3_h", "outdoor_second_m3_h", "across_m3_h",
           "outdoor_first_se", "outdoor_second_se", "across_se", "scatter_ppm", "t"], [fitted(f) for f in fits])
