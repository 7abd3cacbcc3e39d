"""Asks outside libraries for the values that `validate` compares the engine with.

    python run.py                      writes validate/data/<source-id>/*.csv
    python run.py --check [PROGRAM]    works everything out again and compares with the committed files;
                                       with the path of airwright also what fit_by_others.py and
                                       exchange_by_others.py ask it

Every `*_oracle.py` beside this file has `main(outdir)`, which writes its CSV files into
`outdir/<source-id>/`. Random inputs come from a fixed seed and stand in the files, so that no other
program has to draw them again. Numbers are written by `number` below.
"""

import argparse
import csv
import importlib.util
import math
import pathlib
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
DATA = HERE.parent / "data"
TOLERANCE = 1e-9


def number(x):
    """Fifteen significant digits, the same on every machine."""
    return format(float(x), ".15g")


def write(outdir, source, name, header, rows):
    """Writes one CSV; numbers in `rows` go through `number`, texts and ints stay."""
    folder = pathlib.Path(outdir) / source
    folder.mkdir(parents=True, exist_ok=True)
    with open(folder / name, "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        for row in rows:
            out.writerow([x if isinstance(x, (str, int)) else number(x) for x in row])


def modules():
    for path in sorted(HERE.glob("*_oracle.py")):
        spec = importlib.util.spec_from_file_location(path.stem, path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        yield module


def differs(old, new):
    if old == new:
        return False
    try:
        a, b = float(old), float(new)
    except ValueError:
        return True
    return not math.isclose(a, b, rel_tol=TOLERANCE, abs_tol=0.0)


def compare(fresh):
    """Differences between the committed file and the fresh one."""
    committed = DATA / fresh.parent.name / fresh.name
    name = f"{fresh.parent.name}/{fresh.name}"
    if not committed.exists():
        return [f"{name}: not committed"]
    with open(committed, newline="", encoding="utf-8") as a, open(fresh, newline="", encoding="utf-8") as b:
        old, new = list(csv.reader(a)), list(csv.reader(b))
    if len(old) != len(new) or [len(r) for r in old] != [len(r) for r in new]:
        return [f"{name}: another number of rows or columns"]
    return [
        f"{name}: line {i + 1}, column {j + 1}: committed {x}, now {y}"
        for i, (r, s) in enumerate(zip(old, new))
        for j, (x, y) in enumerate(zip(r, s))
        if differs(x, y)
    ]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    parser.add_argument("program", nargs="?", help="path of airwright, for fit_by_others.py and exchange_by_others.py")
    asked = parser.parse_args()
    check = asked.check
    # Modules say `from run import write`: the same module under either name.
    sys.modules["run"] = sys.modules[__name__]
    if not check:
        for module in modules():
            module.main(DATA)
            print(f"wrote {module.__name__}")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        for module in modules():
            module.main(folder)
        fresh = sorted(pathlib.Path(folder).glob("*/*.csv"))
        wrong = [line for path in fresh for line in compare(path)]
    if asked.program:
        import fit_by_others

        import exchange_by_others

        wrong += fit_by_others.check(asked.program)
        wrong += exchange_by_others.check(asked.program)
    for line in wrong:
        print(line)
    print(f"{len(fresh)} files compared, {len(wrong)} differences")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
