"""States of moist air from PsychroLib (perfect gas, ASHRAE 2017) and CoolProp (real gas)."""

import psychrolib
from CoolProp.CoolProp import HAPropsSI
from run import write

# Temperature degC, relative humidity, altitude m. Below 0.01 degC humidity is over ice in both libraries.
STATES = [
    (-40, 0.8, 0), (-20, 0.7, 0), (-20, 1.0, 0), (-10, 0.5, 0), (-10, 0.9, 0), (-5, 0.8, 0),
    (0, 0.5, 0), (0, 1.0, 0), (0.01, 0.9, 0), (2, 0.95, 0), (5, 0.3, 0), (5, 0.9, 0),
    (7.2, 1.0, 0), (10, 0.5, 0), (12.78, 0.9, 0), (15, 0.4, 0), (15, 0.95, 0), (20, 0.2, 0),
    (20, 0.5, 0), (20, 0.65, 0), (20, 1.0, 0), (21.11, 0.5, 0), (22, 0.8, 0), (23.89, 0.5, 0),
    (25, 0.5, 0), (25, 0.85, 0), (26.67, 0.5, 0), (26.67, 0.6, 0), (30, 0.3, 0), (30, 0.9, 0),
    (35, 0.4, 0), (40, 0.2, 0), (40, 0.7, 0), (50, 0.1, 0),
    (21, 0.4, 500), (20, 0.5, 1000), (21.11, 0.35, 1609), (-5, 0.7, 1609), (30, 0.2, 1609),
    (10, 0.6, 2500), (25, 0.45, 2500), (0, 0.8, 3000),
]
ALTITUDES_M = [-400, 0, 305, 500, 1000, 1609.344, 2000, 3000, 5000]
ZERO_K = 273.15


def main(outdir):
    psychrolib.SetUnitSystem(psychrolib.SI)
    perfect, real, gas = [], [], []
    for i, (t_c, rh, altitude_m) in enumerate(STATES, 1):
        case = f"state-{i:02d}"
        t_k = t_c + ZERO_K
        p_pa = psychrolib.GetStandardAtmPressure(altitude_m)
        w = psychrolib.GetHumRatioFromRelHum(t_c, rh, p_pa)
        perfect.append([
            case, t_k, rh, p_pa,
            psychrolib.GetSatVapPres(t_c), w, psychrolib.GetMoistAirEnthalpy(t_c, w),
            psychrolib.GetTDewPointFromRelHum(t_c, rh) + ZERO_K,
            psychrolib.GetTWetBulbFromRelHum(t_c, rh, p_pa) + ZERO_K,
            psychrolib.GetMoistAirVolume(t_c, w, p_pa), psychrolib.GetMoistAirDensity(t_c, w, p_pa),
        ])
        ask = lambda what: HAPropsSI(what, "T", t_k, "P", p_pa, "R", rh)
        cp_w = ask("W")
        real.append([
            case, t_k, rh, p_pa, cp_w, ask("D"), ask("B"), (1.0 + cp_w) / ask("V"),
        ])
    for t_c in (-20, 0, 20, 40):
        mu = HAPropsSI("M", "T", t_c + ZERO_K, "P", 101325, "R", 0)
        gas.append([f"dry {t_c} degC", t_c + ZERO_K, mu])
    header = ["case", "temp_k", "rh_frac", "pressure_pa"]
    write(outdir, "psychrolib", "states.csv",
          header + ["saturation_pa", "humidity_ratio", "enthalpy_j_kg", "dew_point_k", "wet_bulb_k",
                    "volume_m3_kg", "density_kg_m3"], perfect)
    write(outdir, "psychrolib", "standard_pressure.csv", ["case", "altitude_m", "pressure_pa"],
          [[f"{z} m", z, psychrolib.GetStandardAtmPressure(z)] for z in ALTITUDES_M])
    write(outdir, "coolprop", "states.csv",
          header + ["humidity_ratio", "dew_point_k", "wet_bulb_k", "density_kg_m3"], real)
    write(outdir, "coolprop", "viscosity.csv", ["case", "temp_k", "viscosity_pa_s"], gas)
