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
SAMPLED = ["house-02", "house-07"]
SEED = 4711
# Hamiltonian draws a house, those before that settle the step, and those that emcee starts from.
COUNT, SETTLE, FIRST = 12000, 1250, 5000


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


def hamiltonian(p, name, count):
    """Hamiltonian Monte Carlo (Neal 2011) in coordinates that Laplace's covariance makes round. In a
    hundred unknowns an ensemble that starts off the posterior's thin sheet collapses and takes ten
    thousands of steps to spread again; these draws put it onto the sheet, and stand beside it."""
    rng = numpy.random.default_rng(SEED)
    at = numpy.array(p.ask({"ask": "optimum"})["at"])
    root = numpy.linalg.cholesky(numpy.array(p.ask({"ask": "covariance"})))

    def density(y):
        return p.densities([at + root @ y])[0]

    def slope(y):
        answer = p.ask({"ask": "gradient", "at": list(at + root @ y)})
        return None if isinstance(answer, dict) else root.T @ numpy.array(answer)

    y, now, step, kept, taken = numpy.zeros(len(at)), density(numpy.zeros(len(at))), 0.15, [], []
    g = slope(y)
    for turn in range(count + SETTLE):
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
        if turn < SETTLE:
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
    rows = {"emcee.csv": [], "hamiltonian.csv": []}
    for name in SAMPLED:
        p = Posterior(program, DATA / SOURCE / name)
        numpy.random.seed(SEED)
        sheet = hamiltonian(p, name, COUNT)
        n = sheet.shape[1]
        # Half of twice as many walkers as unknowns hardly spans them: such an ensemble collapses.
        walkers = 8 * n
        first = sheet[numpy.linspace(0, FIRST - 1, walkers).astype(int)]
        first = first + 1e-6 * p.sd * numpy.random.normal(size=first.shape)
        moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
        sampler = emcee.EnsembleSampler(walkers, n, p.densities, moves=moves, vectorize=True)
        sampler.run_mcmc(first, steps)
        tau = sampler.get_autocorr_time(quiet=True)
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


if __name__ == "__main__":
    what = sys.argv[2:3] or ["optima", "draws"]
    if "optima" in what:
        optima(sys.argv[1])
    if "draws" in what:
        draws(sys.argv[1], int(sys.argv[3]) if len(sys.argv) > 3 else 800)
