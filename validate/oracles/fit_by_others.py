"""Fits invented houses by other people's programs, through the log posterior that
`airwright dev logpost` serves: the optimum by scipy.optimize.least_squares (ten houses) and draws by
emcee (two houses). Writes validate/data/fit-by-others/*.csv.

    cargo run -p airwright-validate -- fit-jobs     writes the jobs (once)
    python fit_by_others.py PATH_OF_AIRWRIGHT [optima|draws]

Writing takes some ten minutes, by hand. `run.py --check PATH_OF_AIRWRIGHT` (`check` below, some
minutes) searches all optima again and makes a short Hamiltonian chain of one house; a sampler's
numbers do not come out again to the last digit, so that they are compared to the error of so few
draws. `validate::compare` holds the engine against what stands in the files.

An ensemble's chain can be trusted where it is longer than fifty of its autocorrelation times (emcee's
own rule); `emcee-length.csv` says how long it was, and the engine is held only against chains that are.
"""

import csv
import json
import pathlib
import subprocess
import sys

import emcee
import numpy
import scipy.optimize
from run import DATA, write

SOURCE = "fit-by-others"
# Houses that are drawn from, and Hamiltonian draws of each: one leak of the second may be next to
# nothing, and its lower limit wants more of them.
SAMPLED = {"house-02": 6000, "house-07": 12000}
SEED = 4711
# Hamiltonian draws before the first that settle the step, and those that emcee starts from.
SETTLE, FIRST = 1000, 5000


class Posterior:
    """The log posterior of one job."""

    def __init__(self, program, job):
        command = [program, "dev", "logpost", str(job)]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        self.names = self.ask({"ask": "names"})
        self.mean = numpy.array([n["mean"] for n in self.names])
        self.sd = numpy.array([n["sd"] for n in self.names])

    def ask(self, question):
        return self.ask_all([question])[0]

    def ask_all(self, questions):
        self.process.stdin.write("".join(json.dumps(q) + "\n" for q in questions))
        self.process.stdin.flush()
        return [json.loads(self.process.stdout.readline()) for _ in questions]

    def densities(self, points):
        answers = self.ask_all([list(p) for p in points])
        return numpy.array([-numpy.inf if a is None else a for a in answers])

    def residuals(self, x):
        return numpy.array(self.ask({"ask": "residuals", "at": list(x)}))


def jobs():
    return sorted(p for p in (DATA / SOURCE).iterdir() if p.is_dir())


def optima(program, write_them=True):
    rows = []
    for job in jobs():
        p = Posterior(program, job)
        start = numpy.array(p.ask({"ask": "start"}))
        # In units of the prior's sd: every residual and unknown is then of order one.
        found = scipy.optimize.least_squares(
            lambda z: p.residuals(p.mean + p.sd * z),
            (start - p.mean) / p.sd,
            jac="3-point",
            method="trf",
            ftol=1e-14,
            xtol=1e-12,
            gtol=1e-10,
        )
        print(job.name, "cost", found.cost, "status", found.status, "evaluations", found.nfev, flush=True)
        rows += [
            [f"{job.name} {i}", job.name, i, n["name"], p.mean[i] + p.sd[i] * z, 2.0 * found.cost]
            for i, (n, z) in enumerate(zip(p.names, found.x))
        ]
    if not write_them:
        return rows
    write(DATA, SOURCE, "optima.csv", ["case", "job", "unknown", "name", "value", "squares"], rows)


def hamiltonian(p, name, count, settle=SETTLE, seed=SEED):
    """Hamiltonian Monte Carlo (Neal 2011) in coordinates that Laplace's covariance makes round. In a
    hundred unknowns an ensemble that starts off the posterior's thin sheet collapses and takes ten
    thousands of steps to spread again; these draws put it onto the sheet, and stand beside it."""
    rng = numpy.random.default_rng(seed)
    at = numpy.array(p.ask({"ask": "optimum"})["at"])
    root = numpy.linalg.cholesky(numpy.array(p.ask({"ask": "covariance"})))

    def density(y):
        return p.densities([at + root @ y])[0]

    def slope(y):
        answer = p.ask({"ask": "gradient", "at": list(at + root @ y)})
        return None if isinstance(answer, dict) else root.T @ numpy.array(answer)

    y, now, step, kept, taken = numpy.zeros(len(at)), density(numpy.zeros(len(at))), 0.15, [], []
    g = slope(y)
    for turn in range(count + settle):
        momentum = rng.normal(size=len(at))
        e = step * rng.uniform(0.7, 1.3)
        new, q, gradient = y.copy(), momentum.copy(), g
        for _ in range(rng.integers(15, 40)):
            q = q + 0.5 * e * gradient
            new = new + e * q
            gradient = slope(new)
            if gradient is None:
                break
            q = q + 0.5 * e * gradient
        there = -numpy.inf if gradient is None else density(new)
        gain = there - 0.5 * q @ q - now + 0.5 * momentum @ momentum
        accepted = numpy.log(rng.uniform()) < gain
        if accepted:
            y, now, g = new, there, gradient
        if turn < settle:
            step *= numpy.exp(0.05 * (float(accepted) - 0.8))
        else:
            kept.append(at + root @ y)
            taken.append(accepted)
    kept = numpy.array(kept)
    half = len(kept) // 2
    drift = numpy.abs(numpy.median(kept[:half], axis=0) - numpy.median(kept[half:], axis=0)) / kept.std(axis=0)
    print(name, "Hamiltonian:", len(kept), "draws, acceptance", numpy.mean(taken), "step", step,
          "median between halves, sd", drift.max(), flush=True)
    return kept


def draws(program, steps):
    rows, lengths = {"emcee.csv": [], "hamiltonian.csv": []}, []
    for name, count in SAMPLED.items():
        p = Posterior(program, DATA / SOURCE / name)
        numpy.random.seed(SEED)
        sheet = hamiltonian(p, name, count)
        n = sheet.shape[1]
        # Half of twice as many walkers as unknowns hardly spans them: such an ensemble collapses.
        walkers = 8 * n
        first = sheet[numpy.linspace(0, FIRST - 1, walkers).astype(int)]
        first = first + 1e-6 * p.sd * numpy.random.normal(size=first.shape)
        moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
        sampler = emcee.EnsembleSampler(walkers, n, p.densities, moves=moves, vectorize=True)
        sampler.run_mcmc(first, steps)
        tau = sampler.get_autocorr_time(quiet=True)
        lengths.append([name, name, n, walkers, steps, tau.mean(), tau.max(), steps / tau.max()])
        chain = sampler.get_chain()
        flat = chain.reshape(-1, n)
        print(
            name, n, "unknowns", walkers, "walkers; acceptance", sampler.acceptance_fraction.mean(),
            "autocorrelation", tau.mean(), tau.max(), "spread, second half over first",
            (chain[steps // 2 :].reshape(-1, n).std(axis=0) / chain[: steps // 2].reshape(-1, n).std(axis=0)).mean(),
            flush=True,
        )
        for file, values in [("emcee.csv", flat), ("hamiltonian.csv", sheet)]:
            for i, known in enumerate(p.names):
                low, middle, high = numpy.quantile(values[:, i], [0.05, 0.5, 0.95])
                rows[file].append(
                    [f"{name} {i}", name, i, known["name"], low, middle, high, values[:, i].std()]
                )
    header = ["case", "job", "unknown", "name", "p05", "p50", "p95", "sd"]
    for file, table in rows.items():
        write(DATA, SOURCE, file, header, table)
    header = ["case", "job", "unknowns", "walkers", "steps", "tau_mean", "tau_max", "taus"]
    write(DATA, SOURCE, "emcee-length.csv", header, lengths)


def committed(file):
    with open(DATA / SOURCE / file, newline="", encoding="utf-8") as text:
        return {row["case"]: row for row in csv.DictReader(text)}


def check(program):
    """What comes out otherwise than what stands in the files."""
    wrong = []
    old = committed("optima.csv")
    for case, *_, squares in optima(program, False):
        if abs(squares - float(old[case]["squares"])) > 1e-5 * squares:
            wrong.append(f"optima.csv: {case}: {old[case]['squares']} committed, now {squares}")
    name, old = "house-07", committed("hamiltonian.csv")
    p = Posterior(program, DATA / SOURCE / name)
    short = hamiltonian(p, name, 1200, 400, SEED + 1)
    for i in range(short.shape[1]):
        row = old[f"{name} {i}"]
        tau = max(1.0, emcee.autocorr.integrated_time(short[:, i], quiet=True)[0])
        for at, column, factor in [(0.05, "p05", 2.11), (0.5, "p50", 1.25), (0.95, "p95", 2.11)]:
            # Five standard errors, and what the file's own draws lack.
            may = (5.0 * factor * (tau / len(short)) ** 0.5 + 0.1) * float(row["sd"])
            now = numpy.quantile(short[:, i], at)
            if abs(now - float(row[column])) > may:
                wrong.append(f"hamiltonian.csv: {name} {i} {column}: {row[column]} committed, now {now}")
    return wrong


if __name__ == "__main__":
    what = sys.argv[2:3] or ["optima", "draws"]
    if "optima" in what:
        optima(sys.argv[1])
    if "draws" in what:
        draws(sys.argv[1], int(sys.argv[3]) if len(sys.argv) > 3 else 400)
