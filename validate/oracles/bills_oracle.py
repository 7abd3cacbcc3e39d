"""Change-point models of invented bills: balance temperatures by scipy's search, the rest by
statsmodels, whose standard errors are those of the model linearised at the optimum; and single
exponentials through invented records by scipy's curve_fit."""

import numpy
import scipy.optimize
import scipy.stats
import statsmodels.api
from run import number, write

SEED = 62020
DAY_S = 86400.0
# Monthly means of an invented cold and an invented mixed climate, degC.
COLD = [-9.0, -7.0, -1.0, 6.0, 13.0, 18.0, 21.0, 20.0, 15.0, 8.0, 1.0, -6.0]
MIXED = [3.0, 5.0, 9.0, 14.0, 19.0, 24.0, 27.0, 26.0, 22.0, 15.0, 9.0, 4.0]
LENGTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]


def below(days, k):
    return numpy.array([numpy.maximum(k - t, 0.0).mean() for t in days])


def above(days, k):
    return numpy.array([numpy.maximum(t - k, 0.0).mean() for t in days])


def columns(days, heat, cool):
    cols = [numpy.ones(len(days))]
    if heat is not None:
        cols.append(below(days, heat))
    if cool is not None:
        cols.append(above(days, cool))
    return numpy.column_stack(cols)


def solve(days, power, weights, shape):
    means = numpy.sort([t.mean() for t in days])
    lo, hi = means[1], means[-2]

    def rss(heat, cool):
        if heat is not None and cool is not None and cool < heat:
            return numpy.inf
        return statsmodels.api.WLS(power, columns(days, heat, cool), weights=weights).fit().ssr

    def one(k):
        return rss(k, None) if shape == "heating" else rss(None, k)

    if shape != "both":
        grid = numpy.linspace(lo, hi, 400)
        best = int(numpy.argmin([one(k) for k in grid]))
        a, b = grid[max(best - 1, 0)], grid[min(best + 1, 399)]
        k = scipy.optimize.minimize_scalar(one, bounds=(a, b), method="bounded", options={"xatol": 1e-9}).x
        heat, cool = (k, None) if shape == "heating" else (None, k)
    else:
        grid = numpy.linspace(lo, hi, 60)
        pairs = [(rss(h, c), h, c) for h in grid for c in grid if c >= h]
        _, h, c = min(pairs)
        found = scipy.optimize.minimize(lambda x: rss(x[0], x[1]), [h, c], method="Nelder-Mead",
                                        options={"xatol": 1e-9, "fatol": 1e-9, "maxiter": 4000})
        heat, cool = found.x
    linear = statsmodels.api.WLS(power, columns(days, heat, cool), weights=weights).fit()
    share = lambda k, side: numpy.array([side(t, k).mean() for t in days])
    base, slopes = linear.params[0], list(linear.params[1:])
    jac, names, theta = [numpy.ones(len(days))], ["base"], [base]
    if heat is not None:
        slope = slopes.pop(0)
        jac += [below(days, heat), slope * share(heat, lambda t, k: t < k)]
        names, theta = names + ["heating_slope", "heating_balance"], theta + [slope, heat]
    if cool is not None:
        slope = slopes.pop(0)
        jac += [above(days, cool), -slope * share(cool, lambda t, k: t >= k)]
        names, theta = names + ["cooling_slope", "cooling_balance"], theta + [slope, cool]
    jac = numpy.column_stack(jac)
    theta = numpy.array(theta)
    # Gauss-Newton step from the optimum: its standard errors are the nonlinear ones.
    step = statsmodels.api.WLS(power - columns(days, heat, cool) @ linear.params + jac @ theta, jac, weights=weights).fit()
    return names, theta, step.bse, linear.ssr


def bills(outdir, rng):
    periods, temps, answers = [], [], []
    plan = [("heating", COLD, 1)] * 4 + [("heating", MIXED, 2)] + [("cooling", MIXED, 1)] * 3 + [("both", MIXED, 2)] * 3
    for at, (shape, climate, years) in enumerate(plan, start=1):
        case = f"{shape}-{at:02d}"
        base, h, c = rng.uniform(200, 900), rng.uniform(80, 300), rng.uniform(60, 250)
        hat, cat = rng.uniform(11, 17) + 273.15, rng.uniform(18, 22) + 273.15
        days, power, lengths = [], [], []
        for i, (mean, length) in enumerate(zip(climate * years, LENGTHS * years)):
            length = int(length + rng.integers(-3, 4))
            t = numpy.round(mean + 273.15 + rng.normal(0, 1.5) + rng.normal(0, 4.0, length), 2)
            if at == 4:
                # A bill with its mean only.
                t = numpy.round(t.mean(keepdims=True), 2)
            w = base + rng.normal(0, 60.0)
            if shape != "cooling":
                w += h * below([t], hat)[0]
            if shape != "heating":
                w += c * above([t], cat)[0]
            energy = float(number(round(w * length * DAY_S / 1e5) * 1e5))
            periods.append([case, i + 1, length, energy])
            temps += [[case, i + 1, x] for x in t]
            days.append(t)
            lengths.append(length)
            power.append(energy / (length * DAY_S))
        lengths = numpy.array(lengths, float)
        weights = lengths * len(lengths) / lengths.sum()
        names, theta, se, ssr = solve(days, numpy.array(power), weights, shape)
        dof = len(days) - len(theta)
        t = scipy.stats.t.ppf(0.975, dof)
        for name, value, error in zip(names, theta, se):
            answers.append([case, shape, name, value, t * error])
        answers.append([case, shape, "rss", ssr, 0.0])
    write(outdir, "scipy-bills", "periods.csv", ["case", "period", "days", "energy_j"], periods)
    write(outdir, "scipy-bills", "temperatures.csv", ["case", "period", "temp_k"], temps)
    write(outdir, "scipy-bills", "fits.csv", ["case", "shape", "quantity", "value", "half_width"], answers)


def settling(outdir, rng):
    records, answers = [], []
    for i in range(1, 13):
        case = f"record-{i:02d}"
        end, change, tau = rng.uniform(-15, 60), rng.choice([-1, 1]) * rng.uniform(8, 30), rng.uniform(30, 160)
        t = numpy.arange(0.0, 600.0, 5.0)
        noise = rng.normal(0, rng.uniform(0.05, 0.6), len(t))
        for j in range(1, len(t)):
            noise[j] += 0.4 * noise[j - 1] if i > 6 else 0.0
        y = numpy.round(end + change * numpy.exp(-t / tau) + noise, 3)
        model = lambda t, a, b, c: a + b * numpy.exp(-t / c)
        found, cov = scipy.optimize.curve_fit(model, t, y, [y[-1], y[0] - y[-1], 80.0], xtol=1e-14, ftol=1e-14)
        rest = y - model(t, *found)
        r = min(max((rest[1:] * rest[:-1]).sum() / (rest * rest).sum(), 0.0), 0.99)
        free = max(len(t) * (1 - r) / (1 + r), 4.0)
        wide = numpy.sqrt(len(t) / free) * scipy.stats.t.ppf(0.975, free - 3)
        records += [[case, a, b] for a, b in zip(t, y)]
        answers.append([case, found[0], wide * numpy.sqrt(cov[0, 0]), found[2], wide * numpy.sqrt(cov[2, 2])])
    write(outdir, "scipy-settling", "records.csv", ["case", "time_s", "value"], records)
    write(outdir, "scipy-settling", "fits.csv", ["case", "end", "end_half", "tau_s", "tau_half"], answers)


def main(outdir):
    rng = numpy.random.default_rng(SEED)
    bills(outdir, rng)
    settling(outdir, rng)
