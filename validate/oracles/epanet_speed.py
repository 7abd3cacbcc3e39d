"""How long EPANET 2.2 takes for one solution of a network of 12 junctions and 60 pipes.

    python epanet_speed.py FILE     writes `series,accuracy,us_per_solution,iterations` to FILE

The same sort of network as `validate::speed`: a tree of junctions, reservoirs for the faces with a
head that changes from step to step (metres in the place of pascals), five pipes a junction,
Hazen-Williams, exponent 0.54. The series are those of `validate::speed` too: hours that have
nothing to do with each other, and correlated hours in steps of five minutes. EPANET starts every step
from the flows of the last one, stops at its default accuracy or at the finest that it takes, and
writes nothing while it is timed. Asked for one solution at a time through its toolkit (new heads set, then `ENsolveH`), as one would
for boundaries that are not known beforehand, it takes the time of the rows `toolkit`.
The least of many runs counts, piece by piece; the calls from Python are
taken off.
"""

import csv
import ctypes
import pathlib
import random
import sys
import tempfile
import time

import wntr

ZONES, FACES, PIPES = 12, 4, 60
HOURS = 300
STEPS_AN_HOUR = 12
RUNS = 40
PIECE = 50
EN_ITERATIONS, EN_ELEVATION = 0, 0
ACCURACIES = (1e-3, 1e-5)


def hours(rng, share):
    now = [rng.uniform(-3.0, 6.0) for _ in range(FACES)]
    rows = []
    for _ in range(HOURS):
        now = [x + share * (rng.uniform(-3.0, 6.0) - x) for x in now]
        rows.append(now)
    return rows


def five_minutes(rows):
    steps = []
    for a, b in zip(rows, rows[1:]):
        for i in range(STEPS_AN_HOUR):
            steps.append([x + i / STEPS_AN_HOUR * (y - x) for x, y in zip(a, b)])
    return steps


def network(rng, rows, accuracy):
    model = wntr.network.WaterNetworkModel()
    for face in range(FACES):
        # A reservoir's head is its base times the pattern.
        model.add_pattern(f"P{face}", [100.0 + row[face] for row in rows])
        model.add_reservoir(f"O{face}", base_head=1.0, head_pattern=f"P{face}")
    for zone in range(ZONES):
        model.add_junction(f"Z{zone}", base_demand=0.0, elevation=0.0)
    pipes = [(f"Z{zone - 1 - rng.randrange(min(zone, 8))}", f"Z{zone}", 0.3) for zone in range(1, ZONES)]
    while len(pipes) < PIPES:
        pipes.append((f"O{rng.randrange(FACES)}", f"Z{rng.randrange(ZONES)}", 0.1))
    for k, (a, b, diameter) in enumerate(pipes):
        length = round(10.0 ** rng.uniform(1.0, 2.5), 2)
        model.add_pipe(f"L{k}", a, b, length=length, diameter=diameter, roughness=rng.randint(80, 140))
    step = 300
    model.options.time.hydraulic_timestep = step
    model.options.time.pattern_timestep = step
    model.options.time.report_timestep = step * len(rows)
    model.options.time.duration = step * (len(rows) - 1)
    model.options.hydraulic.headloss = "H-W"
    model.options.hydraulic.accuracy = accuracy
    return model


def measure(model, folder):
    """(seconds a solution, iterations a solution) of one pass through the series."""
    inp = str(folder / "case.inp")
    wntr.network.io.write_inpfile(model, inp, version=2.2)
    toolkit = wntr.epanet.toolkit.ENepanet(version=2.2)
    toolkit.ENopen(inp, str(folder / "case.rpt"), str(folder / "case.bin"))
    # The library's own functions, without wntr's checks around them.
    library, project = toolkit.ENlib, getattr(toolkit, "_project", None)
    prefix, first = ("EN_", (project,)) if project is not None else ("EN", ())
    call = lambda name: getattr(library, prefix + name)
    get, run, forward = call("getstatistic"), call("runH"), call("nextH")
    now, step = ctypes.c_long(), ctypes.c_long()
    # The older functions take singles, the newer ones doubles.
    value = ctypes.c_double() if first else ctypes.c_float()

    def through(count_iterations):
        toolkit.ENopenH()
        toolkit.ENinitH(0)
        solved, iterations, pieces = 0, 0, []
        begin = time.perf_counter()
        while True:
            if run(*first, ctypes.byref(now)) > 6:
                raise SystemExit("EPANET failed")
            if count_iterations:
                get(*first, EN_ITERATIONS, ctypes.byref(value))
                iterations += value.value
            forward(*first, ctypes.byref(step))
            solved += 1
            if solved % PIECE == 0:
                pieces.append(time.perf_counter() - begin)
                begin = time.perf_counter()
            if step.value <= 0:
                break
        toolkit.ENcloseH()
        return pieces, solved, iterations

    _, solved, iterations = through(True)
    calls = []
    for _ in range(RUNS):
        begin = time.perf_counter()
        for _ in range(2 * PIECE):
            get(*first, EN_ITERATIONS, ctypes.byref(value))
        calls.append(time.perf_counter() - begin)
    runs = [through(False)[0] for _ in range(RUNS)]
    least = sum(map(min, zip(*runs))) / len(runs[0]) - min(calls)
    toolkit.ENclose()
    return least / PIECE, iterations / solved


def one_at_a_time(model, rows, folder):
    """Seconds a solution: heads set from outside, `ENsolveH`."""
    model.options.time.duration = 0
    inp = str(folder / "one.inp")
    wntr.network.io.write_inpfile(model, inp, version=2.2)
    toolkit = wntr.epanet.toolkit.ENepanet(version=2.2)
    toolkit.ENopen(inp, str(folder / "one.rpt"), str(folder / "one.bin"))
    library, project = toolkit.ENlib, getattr(toolkit, "_project", None)
    prefix, first = ("EN_", (project,)) if project is not None else ("EN", ())
    put, solve = getattr(library, prefix + "setnodevalue"), getattr(library, prefix + "solveH")
    number = ctypes.c_double if first else ctypes.c_float
    faces = [toolkit.ENgetnodeindex(f"O{face}") for face in range(FACES)]
    heads = [[number(100.0 + head) for head in row] for row in rows[: 2 * PIECE]]

    def through(solves):
        taken = []
        for row in heads:
            begin = time.perf_counter()
            for face, head in zip(faces, row):
                put(*first, face, EN_ELEVATION, head)
            if solves and solve(*first) > 6:
                raise SystemExit("EPANET failed")
            taken.append(time.perf_counter() - begin)
        return taken

    least = [sum(map(min, zip(*(through(solves) for _ in range(RUNS))))) for solves in (True, False)]
    toolkit.ENclose()
    return (least[0] - least[1]) / len(heads)


def main():
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name, share, fine in (("five minutes", 0.3, True), ("hourly", 1.0, False)):
            for accuracy in ACCURACIES:
                rng = random.Random(7)
                series = hours(rng, share)
                series = five_minutes(series) if fine else series
                seconds, iterations = measure(network(rng, series, accuracy), pathlib.Path(folder))
                rows.append([name, f"{accuracy:.5f}", f"{seconds * 1e6:.1f}", f"{iterations:.2f}"])
                seconds = one_at_a_time(network(rng, series[:2], accuracy), series, pathlib.Path(folder))
                rows.append([f"{name} (toolkit)", f"{accuracy:.5f}", f"{seconds * 1e6:.1f}", "-"])
                print(f"{name}, accuracy {accuracy}: {rows[-2][2]} us in a series, {seconds * 1e6:.1f} us by toolkit, {iterations:.2f} iterations")
    with open(sys.argv[1], "w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)


if __name__ == "__main__":
    main()
