"""Whole houses through 17 days of the shipped weather, by scipy.integrate.solve_ivp (Radau).

Air, heat, water, CO2 and PM2.5 as one system of ordinary differential equations: at every instant
the air network is solved by a Newton of its own (leaks by ASTM E779's law and correction, each with
the air it carries, smoothed near zero pressure), nothing is held over a step. Written apart from
the engine; it shares the stated physics, not code. No heating or cooling (their duty belongs to a
step), no sun, no condensation. Psychrometrics by PsychroLib. The first three days warm up; hourly
means of the other 14 are written. `houses.json` is the description that both read.
"""

import csv
import json
import pathlib

import numpy as np
import psychrolib
from run import write
from scipy.integrate import solve_ivp

WEATHER = pathlib.Path(__file__).resolve().parents[2] / "api/assets/weather/greensboro-723170.csv"
FIRST_DAY, WARM_UP, DAYS = 10, 3, 14
G, CP, RHO0, T0, E2 = 9.80665, 1006.0, 1.2041, 293.15, 1e-4
CO2_OUT, PM_OUT, GROUND = 420.0, 8.0, 286.15
RTOL = 1e-8


def between(start, end):
    return [1 if start <= h < end else 0 for h in range(24)]


def night(h):
    return not 7 <= h < 22


def houses():
    """Three invented houses."""
    list_ = []
    for count in (2, 4, 6):
        zones, leaks, walls = [], [], []
        for i in range(count):
            upper = i >= max(2, count // 2)
            floor, area = (2.8 if upper else 0.2), 18.0 + 9.0 * ((i * 2) % 5)
            zones.append({
                "floor_m": floor, "ceiling_m": floor + 2.5, "area_m2": area, "capacity_j_k": 50e3 * area,
                "moisture": 8.0 + i, "deposition_per_s": 0.4 / 3600, "start_k": 288.15 + i,
            })
            for face in (i % 4, (i + 1) % 4):
                for up in (0.4, 2.2):
                    leaks.append({"a": -1, "face": face, "b": i, "z_m": floor + up,
                                  "c": 0.0015 + 0.0004 * i, "n": 0.6 + 0.02 * (i % 4), "passed": 0.8})
            walls.append({"zone": i, "beyond": "outdoors", "w_k": 20.0 + 5.0 * i})
            if not upper:
                walls.append({"zone": i, "beyond": "ground", "w_k": 9.0})
            if i > 0:
                walls.append({"zone": i, "beyond": i - 1, "w_k": 15.0})
                for up in (0.1, 1.9):
                    leaks.append({"a": i - 1, "face": 0, "b": i, "z_m": floor + up, "c": 0.01, "n": 0.5,
                                  "passed": 1.0})
        # The door of the last room, open by day.
        doors = [{"passage": len(leaks), "open": [0 if night(h) else 1 for h in range(24)]}]
        leaks.append({"a": 0, "face": 0, "b": count - 1, "z_m": zones[-1]["floor_m"] + 1.0, "c": 0.5, "n": 0.5,
                      "passed": 1.0})
        bed = count - 1
        people = [{
            "zone": [bed if night(h) else (-1 if 9 <= h < 17 else 0) for h in range(24)],
            "co2_m3_s": [7.4e-6 if night(h) else 1.1e-5 for h in range(24)],
            "water_kg_s": [2.2e-5 if night(h) else 3.5e-5 for h in range(24)],
            "heat_w": [120.0 if night(h) else 150.0 for h in range(24)],
        }]
        house = {
            "name": f"{count} zones", "faces": [0.5, -0.3, -0.4, -0.2], "zones": zones, "leaks": leaks,
            "walls": walls, "doors": doors, "people": people,
            "gains": [{"zone": 0, "heat_w": 400.0}, {"zone": bed, "heat_w": 150.0}],
            "events": [
                {"zone": 0, "start_s": 64800.0, "duration_s": 1200.0, "pm25_kg_s": 2.5e-8, "water_kg_s": 3e-4,
                 "heat_w": 500.0},
                {"zone": 1, "start_s": 25200.0, "duration_s": 600.0, "pm25_kg_s": 0.0, "water_kg_s": 6e-4,
                 "heat_w": 0.0},
            ],
            "fans": [{"zone": 0, "kg_s": 0.08, "hours": between(18, 19)}],
            "ventilators": [],
        }
        if count == 6:
            house["ventilators"].append({"supply": bed, "exhaust": 1, "kg_s": 0.025, "sensible": 0.65,
                                         "latent": 0.4, "pm25": 0.5, "hours": between(6, 23)})
        list_.append(house)
    return list_


def weather():
    with open(WEATHER, encoding="utf-8") as file:
        rows = list(csv.reader(line for line in file if not line.startswith("#")))[1:]
    psychrolib.SetUnitSystem(psychrolib.SI)
    values = []
    for r in rows:
        temp, dew, pressure = float(r[1]), float(r[2]), 100.0 * float(r[3])
        w = psychrolib.GetHumRatioFromTDewPoint(min(dew, temp), pressure)
        values.append((temp + 273.15, w, pressure, float(r[4])))
    return np.array(values)


def density(temp, w, pressure):
    return (1 + w) * pressure / (287.042 * temp * (1 + 1.607858 * w))


def viscosity(temp):
    return 1.458e-6 * temp**1.5 / (temp + 110.4)


class House:
    def __init__(self, house, weather_):
        self.h, self.weather, n = house, weather_, len(house["zones"])
        self.n = n
        z = house["zones"]
        self.capacity = np.array([q["capacity_j_k"] for q in z])
        volume = np.array([q["area_m2"] * (q["ceiling_m"] - q["floor_m"]) for q in z])
        self.mass = volume * density(293.15, 0.0, weather_[:, 2].mean())
        self.water = self.mass * np.array([q["moisture"] for q in z])
        self.deposition = np.array([q["deposition_per_s"] for q in z])
        leaks = house["leaks"]
        # Outdoors is the last node.
        self.a = np.array([n if k["a"] < 0 else k["a"] for k in leaks])
        self.b = np.array([k["b"] for k in leaks])
        self.face = np.array([house["faces"][k["face"]] if k["a"] < 0 else 0.0 for k in leaks])
        self.z, self.c0, self.e, self.passed = (
            np.array([k[key] for k in leaks]) for key in ("z_m", "c", "n", "passed"))
        self.pressure = np.zeros(n)
        self.wall = np.zeros((n, n))
        self.outdoors, self.ground = np.zeros(n), np.zeros(n)
        for wall in house["walls"]:
            if wall["beyond"] == "outdoors":
                self.outdoors[wall["zone"]] += wall["w_k"]
            elif wall["beyond"] == "ground":
                self.ground[wall["zone"]] += wall["w_k"]
            else:
                self.wall[wall["zone"], wall["beyond"]] += wall["w_k"]
                self.wall[wall["beyond"], wall["zone"]] += wall["w_k"]

    def outdoor(self, t):
        x = t / 3600.0
        k = int(np.floor(x))
        return self.weather[k - 1] + (x - k) * (self.weather[k] - self.weather[k - 1])

    def set_segment(self, middle):
        """Schedules are constant within a segment."""
        hour, second = int(middle % 86400 // 3600), middle % 86400
        n = self.n
        self.c = self.c0.copy()
        for door in self.h["doors"]:
            self.c[door["passage"]] *= door["open"][hour]
        self.out = np.zeros(n)
        self.heat, self.vapour, self.gas, self.dust = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
        for fan in self.h["fans"]:
            self.out[fan["zone"]] += fan["kg_s"] * fan["hours"][hour]
        self.vents = [v for v in self.h["ventilators"] if v["hours"][hour]]
        self.net = -self.out
        for v in self.vents:
            self.net[v["supply"]] += v["kg_s"]
            self.net[v["exhaust"]] -= v["kg_s"]
        for p in self.h["people"]:
            zone = p["zone"][hour]
            if zone >= 0:
                self.heat[zone] += p["heat_w"][hour]
                self.vapour[zone] += p["water_kg_s"][hour]
                self.gas[zone] += p["co2_m3_s"][hour] * RHO0 * 1e6
        for g in self.h["gains"]:
            self.heat[g["zone"]] += g["heat_w"]
        for e in self.h["events"]:
            if e["start_s"] <= second < e["start_s"] + e["duration_s"]:
                self.heat[e["zone"]] += e["heat_w"]
                self.vapour[e["zone"]] += e["water_kg_s"]
                self.dust[e["zone"]] += e["pm25_kg_s"] * 1e9

    def flows(self, temp, rho, wind_pa):
        """Mass flow of every leak from a to b; arrays end with outdoors."""
        column = -(rho - rho[-1]) * G
        factor = rho * (viscosity(T0) / viscosity(temp)) ** (2 * self.e[:, None] - 1) * (
            RHO0 / rho) ** (1 - self.e[:, None])
        rows = np.arange(len(self.a))
        forward, backward = self.c * factor[rows, self.a], self.c * factor[rows, self.b]
        p = np.append(self.pressure, 0.0)
        for _ in range(100):
            dp = p[self.a] + column[self.a] * self.z + self.face * wind_pa - p[self.b] - column[self.b] * self.z
            s = dp * dp + E2
            k = np.where(dp > 0, forward, backward) * s ** ((self.e - 1) / 2)
            flow, slope = k * dp, k * (1 + (self.e - 1) * dp * dp / s)
            residual = self.net.copy()
            jac = np.zeros((self.n + 1, self.n + 1))
            full = np.append(residual, 0.0)
            np.add.at(full, self.b, flow)
            np.add.at(full, self.a, -flow)
            if np.abs(full[:-1]).max() < 1e-12:
                break
            np.add.at(jac, (self.a, self.a), slope)
            np.add.at(jac, (self.b, self.b), slope)
            np.add.at(jac, (self.a, self.b), -slope)
            np.add.at(jac, (self.b, self.a), -slope)
            step = np.linalg.solve(jac[:-1, :-1], full[:-1])
            # A square root near zero makes full steps swing.
            p[:-1] += step * min(1.0, 2.0 / max(np.abs(step).max(), 1e-30)) * (0.7 if _ > 15 else 1.0)
        else:
            raise RuntimeError("no balance of air")
        self.pressure = p[:-1]
        return flow

    def rate(self, t, y):
        n = self.n
        temp, w, gas, dust = y.reshape(4, n)
        w = w * 1e-3
        out_t, out_w, pressure, wind = self.outdoor(t)
        nodes_t, nodes_w = np.append(temp, out_t), np.append(w, out_w)
        rho = density(nodes_t, nodes_w, pressure)
        flow = self.flows(nodes_t, rho, 0.5 * rho[-1] * wind * wind)
        source, sink = np.where(flow > 0, self.a, self.b), np.where(flow > 0, self.b, self.a)
        m = np.zeros((n + 1, n + 1))
        dusty = np.zeros((n + 1, n + 1))
        np.add.at(m, (source, sink), np.abs(flow))
        np.add.at(dusty, (source, sink), self.passed * np.abs(flow))

        def carried(move, arrive, values, outdoors, lose, passed_kind):
            nodes = np.append(values, outdoors)
            gain = (arrive.T @ nodes)[:-1] - move.sum(axis=1)[:-1] * values - lose * values
            for v in self.vents:
                q, s, x = v["kg_s"], v["supply"], v["exhaust"]
                back, passed = passed_kind(v)
                gain[s] += q * ((1 - back) * passed * outdoors + back * values[x])
                gain[x] -= q * values[x]
            return gain

        d_temp = CP * carried(m, m, temp, out_t, self.out, lambda v: (v["sensible"], 1.0))
        d_temp += self.heat + self.outdoors * (out_t - temp) + self.ground * (GROUND - temp)
        d_temp += self.wall @ temp - self.wall.sum(axis=1) * temp
        d_w = carried(m, m, w, out_w, self.out, lambda v: (v["latent"], 1.0)) + self.vapour
        d_gas = carried(m, m, gas, CO2_OUT, self.out, lambda v: (0.0, 1.0)) + self.gas
        d_dust = carried(m, dusty, dust, PM_OUT / rho[-1], self.out, lambda v: (0.0, 1 - v["pm25"]))
        d_dust += self.dust - self.deposition * self.mass * dust
        return np.concatenate(
            [d_temp / self.capacity, 1e3 * d_w / self.water, d_gas / self.mass, d_dust / self.mass])

    def observed(self, t, y):
        """Temperature K, water g/kg, CO2 ppm, PM2.5 ug/m3."""
        temp, w, gas, dust = y.reshape(4, self.n)
        return np.array([temp, w, gas, dust * density(temp, w * 1e-3, self.outdoor(t)[2])])

    def live(self):
        start = (FIRST_DAY - WARM_UP) * 86400.0
        first = self.weather[-1]
        rho = density(*first[:3])
        ones = np.ones(self.n)
        y = np.concatenate([
            [z["start_k"] for z in self.h["zones"]], 1e3 * first[1] * ones, CO2_OUT * ones, 0.5 * PM_OUT / rho * ones])
        atol = np.concatenate([1e-6 * ones, 1e-7 * ones, 1e-4 * ones, 1e-6 * ones])
        means = []
        for hour in range((WARM_UP + DAYS) * 24):
            begin, end = start + 3600.0 * hour, start + 3600.0 * (hour + 1)
            cuts = {begin, end}
            for e in self.h["events"]:
                for cut in (e["start_s"], e["start_s"] + e["duration_s"]):
                    at = begin - begin % 86400 + cut
                    if begin < at < end:
                        cuts.add(at)
            cuts, total = sorted(cuts), 0.0
            for a, b in zip(cuts, cuts[1:]):
                self.set_segment(0.5 * (a + b))
                # Just short of the end: the weather's line bends there.
                answer = solve_ivp(self.rate, (a, b - 1e-6), y, method="Radau", rtol=RTOL, atol=atol,
                                   dense_output=True, first_step=5.0)
                assert answer.success, answer.message
                for s, e in zip(answer.t, answer.t[1:]):
                    # Simpson is exact for the solver's own cubic.
                    parts = [self.observed(x, answer.sol(x)) for x in (s, 0.5 * (s + e), e)]
                    total = total + (e - s) / 6 * (parts[0] + 4 * parts[1] + parts[2])
                y = answer.y[:, -1]
            if hour >= WARM_UP * 24:
                means.append(total / 3600.0)
        return np.array(means)


def digits(x):
    return format(float(x), ".7g")


def main(outdir):
    described, weather_ = houses(), weather()
    folder = pathlib.Path(outdir) / "scipy-houses"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "houses.json").write_text(json.dumps(described, indent=1) + "\n", encoding="utf-8")
    rows = []
    for house in described:
        means = House(house, weather_).live()
        for hour in range(DAYS * 24):
            for zone in range(len(house["zones"])):
                rows.append([house["name"], hour, zone, *(digits(means[hour, k, zone]) for k in range(4))])
    write(outdir, "scipy-houses", "hours.csv",
          ["case", "hour", "zone", "temp_k", "water_g_kg", "co2_ppm", "pm25_ug_m3"], rows)
