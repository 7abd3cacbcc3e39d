"""Friction of ducts from fluids, and delivery effectiveness by a heat balance followed along the air."""

import math
import random

import fluids
from run import write

RHO, MU = 1.204, 1.8134e-5
# Diameter m, flow m3/s at residential sizes; roughness m of steel, flexible ducts and lined ducts.
SIZES = [(0.1, 0.015), (0.125, 0.03), (0.15, 0.05), (0.2, 0.1), (0.25, 0.2), (0.3, 0.3), (0.4, 0.6)]
ROUGHNESS = [0.0, 0.46e-6, 46e-6, 90e-6, 0.9e-3, 3e-3]


def friction():
    rng = random.Random(20261112)
    cases = [(d, q, e) for d, q in SIZES for e in ROUGHNESS]
    for _ in range(40):
        d = rng.uniform(0.08, 0.7)
        cases.append((d, rng.uniform(0.5, 9.0) * math.pi / 4 * d * d, 10 ** rng.uniform(-6.3, -2.5)))
    for i, (d, q, e) in enumerate(cases, 1):
        v = q / (math.pi / 4 * d * d)
        re = fluids.Reynolds(V=v, D=d, rho=RHO, mu=MU)
        f = fluids.friction_factor(Re=re, eD=e / d, Method="Clamond")
        yield [f"run-{i:02d}", d, q, e, RHO, MU, re, f, f / d * RHO * v * v / 2]


def delivery():
    """Mixes and cools one cubic metre a second of air on its way, without the closed form."""
    rng = random.Random(152)
    for i in range(1, 31):
        cooling = i % 3 == 0
        flow, cap = rng.uniform(0.2, 0.8), rng.uniform(4e3, 2e4) * (-1 if cooling else 1)
        indoor = 25.0 if cooling else 20.0
        around_s, around_r = (rng.uniform(30, 55) if cooling else rng.uniform(-20, 15) for _ in "sr")
        leak_s, leak_r = rng.uniform(0, 0.25) * flow, rng.uniform(0, 0.25) * flow
        area_s, area_r = rng.uniform(5, 50), rng.uniform(0, 20)
        r_s, r_r = rng.uniform(0.3, 1.5), rng.uniform(0.3, 1.5)
        rc = 1.204 * 1006.0
        # From the room through the return: leakage joins, then the duct loses to its zone.
        t = ((flow - leak_r) * indoor + leak_r * around_r) / flow
        t = around_r + (t - around_r) * math.exp(-area_r / (r_r * rc * flow))
        back = t
        t += cap / (rc * flow)
        plenum = t
        t = around_s + (t - around_s) * math.exp(-area_s / (r_s * rc * flow))
        register = t
        # What arrives, against the room; what leaked out is lost.
        delivered = rc * (flow - leak_s) * (register - indoor)
        yield [f"house-{i:02d}", flow, cap, indoor + 273.15, leak_s, leak_r, area_s, area_r, r_s, r_r,
               around_s + 273.15, around_r + 273.15, rc, delivered / cap, back + 273.15,
               plenum + 273.15, register + 273.15]


def main(outdir):
    write(outdir, "fluids-friction", "friction.csv",
          ["case", "diameter_m", "flow_m3_s", "roughness_m", "density_kg_m3", "viscosity_pa_s",
           "reynolds", "friction_factor", "friction_pa_m"], friction())
    write(outdir, "duct-heat-balance", "delivery.csv",
          ["case", "flow_m3_s", "capacity_w", "indoor_k", "supply_leak_m3_s", "return_leak_m3_s",
           "supply_area_m2", "return_area_m2", "supply_r_m2_k_w", "return_r_m2_k_w", "supply_around_k",
           "return_around_k", "rho_cp_j_m3_k", "effectiveness", "return_plenum_k", "supply_plenum_k",
           "register_k"], delivery())
