"""Fits invented houses by other people's programs, through the log posterior that
`airwright dev logpost` serves: the optimum by scipy.optimize.least_squares (ten houses) and draws by
emcee (two houses). Writes validate/data/fit-by-others/*.csv.

    cargo run -p airwright-validate -- fit-jobs     writes the jobs (once)
    python fit_by_others.py PATH_OF_AIRWRIGHT [optima|draws]

Some ten minutes, by hand: it needs the program, and a sampler's numbers do not come out again to the
last digit, so `run.py` leaves it alone. `validate/tests/fit_by_others.rs` holds the engine against
what stands in the files.
"""

import json
import pathlib
import subprocess
import sys

import emcee
import numpy
import scipy.optimize
from run import DATA, write

SOURCE = "fit-by-others"
SAMPLED = ["house-01", "house-02"]
SEED = 4711


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


def optima(program):
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
    write(DATA, SOURCE, "optima.csv", ["case", "job", "unknown", "name", "value", "squares"], rows)


def draws(program, steps):
    rows = []
    for name in SAMPLED:
        p = Posterior(program, DATA / SOURCE / name)
        numpy.random.seed(SEED)
        at = numpy.array(p.ask({"ask": "optimum"})["at"])
        spread = numpy.linalg.cholesky(numpy.array(p.ask({"ask": "covariance"})))
        n = len(at)
        walkers = 2 * n + 2 * (n % 2)
        first = at + numpy.random.normal(size=(walkers, n)) @ spread.T
        moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
        sampler = emcee.EnsembleSampler(walkers, n, p.densities, moves=moves, vectorize=True)
        state = sampler.run_mcmc(first, steps // 4)
        sampler.reset()
        sampler.run_mcmc(state, steps)
        tau = sampler.get_autocorr_time(quiet=True)
        chain = sampler.get_chain()
        flat = chain.reshape(-1, n)
        half = steps // 2
        drift = numpy.abs(
            numpy.median(chain[:half].reshape(-1, n), axis=0) - numpy.median(chain[half:].reshape(-1, n), axis=0)
        ) / flat.std(axis=0)
        independent = walkers * steps / tau
        print(
            name, n, "unknowns", walkers, "walkers; acceptance", sampler.acceptance_fraction.mean(),
            "autocorrelation", tau.mean(), tau.max(), "independent draws", independent.min(),
            "median between halves, sd", drift.max(), flush=True,
        )
        for i, known in enumerate(p.names):
            low, middle, high = numpy.quantile(flat[:, i], [0.05, 0.5, 0.95])
            rows.append(
                [f"{name} {i}", name, i, known["name"], low, middle, high, flat[:, i].std(), independent[i]]
            )
    header = ["case", "job", "unknown", "name", "p05", "p50", "p95", "sd", "independent"]
    write(DATA, SOURCE, "emcee.csv", header, rows)


if __name__ == "__main__":
    what = sys.argv[2:3] or ["optima", "draws"]
    if "optima" in what:
        optima(sys.argv[1])
    if "draws" in what:
        draws(sys.argv[1], int(sys.argv[3]) if len(sys.argv) > 3 else 6000)
