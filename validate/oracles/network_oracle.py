"""Random networks of pipes solved by EPANET 2.2, the outside check of the air network's solver.

EPANET's Hazen-Williams pipes obey `q = K h^(1/1.852)`: a network of leaks of exponent 0.54 with
metres of head in the place of pascals. Reservoirs stand for outdoors at given wind pressures,
junctions for zones, demands for fixed flows out of a zone.
"""

import logging
import pathlib
import random
import tempfile

import wntr
from run import write

SEED = 20_261
NETWORKS = 30


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


def main(outdir):
    logging.getLogger("wntr").setLevel(logging.ERROR)
    rng = random.Random(SEED)
    node_rows, link_rows = [], []
    # EPANET answers in single precision: six digits are what there is.
    short = lambda value: format(value, ".6g")
    with tempfile.TemporaryDirectory() as folder:
        for n in range(NETWORKS):
            case = f"network-{n:02d}"
            nodes, links = make(rng, 3 + round(37 * n / (NETWORKS - 1)))
            heads, flows = solve(nodes, links, pathlib.Path(folder))
            for name, (kind, value) in nodes.items():
                demand = 0.0 if kind == "outdoors" else value
                node_rows.append([case, name, kind, demand, short(heads[name])])
            for k, link in enumerate(links):
                link_rows.append([case, *link, short(flows[f"L{k}"])])
    write(outdir, "epanet-networks", "nodes.csv",
          ["case", "node", "kind", "demand_m3_s", "head_m"], node_rows)
    write(outdir, "epanet-networks", "links.csv",
          ["case", "from", "to", "length_m", "diameter_m", "roughness_hw", "flow_m3_s"], link_rows)
