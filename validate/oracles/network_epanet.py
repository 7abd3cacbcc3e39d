"""Random power-law networks solved by EPANET 2.2, the outside check of the air network's solver.

EPANET's Hazen-Williams pipes obey `q = K h^(1/1.852)`: a network of leaks of exponent 0.54 with
metres of head in the place of pascals. Reservoirs stand for outdoors at given wind pressures,
junctions for zones, demands for fixed flows out of a zone.

    python -m venv venv && venv/bin/pip install wntr==1.5.0 six==1.17.0
    venv/bin/python validate/oracles/network_epanet.py

Writes nodes.csv and links.csv to validate/data/epanet-networks/. Same seed, same files.
"""

import csv
import logging
import pathlib
import random
import tempfile

import wntr

SEED = 20_261
NETWORKS = 30
DATA = pathlib.Path(__file__).resolve().parent.parent / "data"


def make(rng, zones):
    """Nodes {name: (kind, head or demand)} and links [(from, to, length, diameter, roughness)]."""
    nodes, links = {}, []
    outdoors = rng.randint(2, 6)
    for i in range(outdoors):
        nodes[f"O{i}"] = ("outdoors", round(rng.uniform(-20.0, 40.0), 3))
    for i in range(zones):
        demand = round(rng.uniform(-0.02, 0.03), 5) if rng.random() < 0.2 else 0.0
        nodes[f"Z{i}"] = ("zone", demand)

    def pipe(a, b):
        length = round(10.0 ** rng.uniform(1.0, 3.5), 2)
        diameter = rng.choice([0.1, 0.15, 0.2, 0.3])
        links.append((a, b, length, diameter, rng.randint(80, 140)))

    for i in range(1, zones):
        pipe(f"Z{rng.randrange(i)}", f"Z{i}")
    for _ in range(zones):
        a, b = rng.randrange(zones), rng.randrange(zones)
        if a != b:
            pipe(f"Z{a}", f"Z{b}")
    for i in range(outdoors):
        pipe(f"O{i}", f"Z{rng.randrange(zones)}")
    for _ in range(2 * zones):
        pipe(f"O{rng.randrange(outdoors)}", f"Z{rng.randrange(zones)}")
    return nodes, links


def solve(nodes, links, folder):
    """Heads in m by node and flows in m3/s by link, from EPANET 2.2."""
    model = wntr.network.WaterNetworkModel()
    for name, (kind, value) in nodes.items():
        if kind == "outdoors":
            model.add_reservoir(name, base_head=value)
        else:
            model.add_junction(name, base_demand=value, elevation=0.0)
    for k, (a, b, length, diameter, roughness) in enumerate(links):
        model.add_pipe(f"L{k}", a, b, length=length, diameter=diameter, roughness=roughness)
    model.options.time.duration = 0
    model.options.hydraulic.headloss = "H-W"
    model.options.hydraulic.accuracy = 1e-6
    model.options.hydraulic.trials = 500
    simulator = wntr.sim.EpanetSimulator(model)
    results = simulator.run_sim(file_prefix=str(folder / "case"), version=2.2)
    heads = results.node["head"].iloc[0]
    flows = results.link["flowrate"].iloc[0]
    return heads, flows


def main(outdir=DATA):
    """Writes both files into `outdir`/epanet-networks."""
    out = pathlib.Path(outdir) / "epanet-networks"
    logging.getLogger("wntr").setLevel(logging.ERROR)
    rng = random.Random(SEED)
    out.mkdir(parents=True, exist_ok=True)
    node_rows, link_rows = [], []
    with tempfile.TemporaryDirectory() as folder:
        for n in range(NETWORKS):
            zones = 3 + round(37 * n / (NETWORKS - 1))
            nodes, links = make(rng, zones)
            heads, flows = solve(nodes, links, pathlib.Path(folder))
            for name, (kind, value) in nodes.items():
                demand = 0.0 if kind == "outdoors" else value
                node_rows.append([n, name, kind, f"{demand:.5f}", f"{heads[name]:.6g}"])
            for k, (a, b, length, diameter, roughness) in enumerate(links):
                flow = f"{flows[f'L{k}']:.6g}"
                link_rows.append([n, k, a, b, length, diameter, roughness, flow])
    with open(out / "nodes.csv", "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["network", "node", "kind", "demand_m3_s", "head_m"])
        writer.writerows(node_rows)
    with open(out / "links.csv", "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        names = ["network", "link", "from", "to", "length_m", "diameter_m", "roughness_hw"]
        writer.writerow([*names, "flow_m3_s"])
        writer.writerows(link_rows)


if __name__ == "__main__":
    main()
