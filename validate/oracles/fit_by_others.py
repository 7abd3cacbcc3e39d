"""Fits invented houses by other people's programs, through the log posterior that
`airwright dev logpost` serves: the optimum by scipy.optimize.least_squares (all of them) and draws by
emcee (two houses). Writes validate/data/fit-by-others/*.csv.

    cargo run -p airwright-validate -- fit-jobs     writes the jobs (once)
    python fit_by_others.py PATH_OF_AIRWRIGHT [optima|draws]

Writing takes some ten minutes, by hand. `run.py --check PATH_OF_AIRWRIGHT` (`check` below, some
minutes) searches all optima again and makes a short chain of one house; a sampler's
numbers do not come out again to the last digit, so that they are compared to the error of so few
draws. `validate::compare` holds the engine against what stands in the files.

An ensemble's chain can be trusted where it is longer than fifty of its autocorrelation times (emcee's
own rule); `emcee-length.csv` says how long it was.
"""

import csv
import json
import logging
import pathlib
import subprocess
import sys

import emcee
import numpy
import scipy.optimize
from run import DATA, write

SOURCE = "fit-by-others"
# Houses that are drawn from: those with few unknowns, where an ensemble's chain gets long enough.
SAMPLED = ["house-11", "house-12"]
SEED = 4711
# Its warning that a chain is still short comes at every look; the loop below is what it asks for.
logging.getLogger("emcee").setLevel(logging.ERROR)
# Autocorrelation times of a chain that is written, and of one that is made to check it.
TAUS, SHORT_TAUS = 60, 12
# Steps before the first look, by how much they grow to the next, and their number at most.
FIRST_LOOK, LOOKS, MOST_STEPS = 1000, 1.25, 120000


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


def ensemble(p, name, taus, seed):
    """Chain of an ensemble without its first half, run until it is `taus` autocorrelation times long.
    The walkers start from Laplace's normal; in a hundred unknowns such an ensemble collapses and takes
    ten thousands of steps to spread again, in twenty to thirty it does not."""
    rng = numpy.random.default_rng(seed)
    numpy.random.seed(seed)
    at = numpy.array(p.ask({"ask": "optimum"})["at"])
    root = numpy.linalg.cholesky(numpy.array(p.ask({"ask": "covariance"})))
    n = len(at)
    walkers = 6 * n
    first = at + rng.normal(size=(walkers, n)) @ root.T
    # Not its snooker move: with one step in five of it, unknowns that no reading touches came out at 0.85
    # of their prior's spread, which is exactly known.
    sampler = emcee.EnsembleSampler(walkers, n, p.densities, moves=emcee.moves.DEMove(), vectorize=True)
    state = sampler.run_mcmc(first, FIRST_LOOK)
    while True:
        half = sampler.iteration // 2
        tau = emcee.autocorr.integrated_time(sampler.get_chain(discard=half), quiet=True)
        print(name, n, "unknowns", walkers, "walkers", sampler.iteration, "steps; acceptance",
              sampler.acceptance_fraction.mean(), "autocorrelation", tau.mean(), tau.max(), flush=True)
        if half > taus * tau.max() or sampler.iteration >= MOST_STEPS:
            return sampler.get_chain(discard=half), tau
        state = sampler.run_mcmc(state, int((LOOKS - 1.0) * sampler.iteration))


def draws(program):
    rows, lengths = [], []
    for name in SAMPLED:
        p = Posterior(program, DATA / SOURCE / name)
        chain, tau = ensemble(p, name, TAUS, SEED)
        steps, walkers, n = chain.shape
        lengths.append([name, name, n, walkers, steps, tau.mean(), tau.max(), steps / tau.max()])
        flat = chain.reshape(-1, n)
        for i, known in enumerate(p.names):
            low, middle, high = numpy.quantile(flat[:, i], [0.05, 0.5, 0.95])
            rows.append([f"{name} {i}", name, i, known["name"], low, middle, high, flat[:, i].std()])
    header = ["case", "job", "unknown", "name", "p05", "p50", "p95", "sd"]
    write(DATA, SOURCE, "emcee.csv", header, rows)
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
    name, old = SAMPLED[0], committed("emcee.csv")
    p = Posterior(program, DATA / SOURCE / name)
    chain, tau = ensemble(p, name, SHORT_TAUS, SEED + 1)
    flat = chain.reshape(-1, chain.shape[2])
    for i in range(flat.shape[1]):
        row = old[f"{name} {i}"]
        for at, column, factor in [(0.05, "p05", 2.11), (0.5, "p50", 1.25), (0.95, "p95", 2.11)]:
            # Five standard errors, and what the file's own draws lack.
            may = (5.0 * factor * (tau[i] / len(flat)) ** 0.5 + 0.05) * float(row["sd"])
            now = numpy.quantile(flat[:, i], at)
            if abs(now - float(row[column])) > may:
                wrong.append(f"emcee.csv: {name} {i} {column}: {row[column]} committed, now {now}")
    return wrong


if __name__ == "__main__":
    what = sys.argv[2:3] or ["optima", "draws"]
    if "optima" in what:
        optima(sys.argv[1])
    if "draws" in what:
        draws(sys.argv[1])
