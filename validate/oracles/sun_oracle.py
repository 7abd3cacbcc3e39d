"""The sun's place and isotropic irradiance on tilted planes, by pvlib.

Geometric zenith (no refraction) by the algorithm of Reda and Andreas; tilted planes by pvlib's
isotropic sky and ground reflection of 0.2. Time is seconds after the start of 2001, UTC.
"""

import pandas as pd
import pvlib
from run import write

LATITUDES = [(61.2, -149.9), (40.0, -105.0), (36.1, -79.95), (19.4, -99.1), (0.0, 37.0), (-35.3, 149.1)]
# Equinoxes, solstices and days between.
DATES = ["2001-02-05", "2001-03-20", "2001-05-06", "2001-06-21", "2001-09-22", "2001-11-08", "2001-12-21"]
PLANES = [(90.0, 0.0), (90.0, 90.0), (90.0, 180.0), (90.0, 270.0), (30.0, 135.0), (0.0, 180.0)]


def main(outdir):
    places, planes = [], []
    start = pd.Timestamp("2001-01-01", tz="UTC")
    for latitude, longitude in LATITUDES:
        for date in DATES:
            # By local solar time, roughly, so that days are seen whole.
            noon = pd.Timestamp(date, tz="UTC") + pd.Timedelta(hours=12 - longitude / 15)
            times = pd.DatetimeIndex([(noon + pd.Timedelta(hours=k)).round("1min") for k in (-6, -4.5, -2, 0, 1.5, 3, 5.5)])
            sun = pvlib.solarposition.get_solarposition(times, latitude, longitude, method="nrel_numpy")
            for at, zenith, azimuth in zip(times, sun["zenith"], sun["azimuth"]):
                case = f"{latitude} {at:%m-%d %H:%M}"
                time_s = (at - start).total_seconds()
                places.append([case, time_s, latitude, longitude, zenith, azimuth])
                if zenith > 87:
                    continue
                dni = 850.0 - 5.0 * max(0.0, zenith - 20)
                dhi = 90.0 + zenith / 2
                ghi = dni * pvlib.tools.cosd(zenith) + dhi
                for tilt, facing in PLANES:
                    total = pvlib.irradiance.get_total_irradiance(
                        tilt, facing, zenith, azimuth, dni, ghi, dhi, albedo=0.2, model="isotropic")
                    planes.append([case, time_s, latitude, longitude, dni, ghi, dhi, tilt, facing,
                                   total["poa_global"]])
    head = ["case", "time_s", "latitude_deg", "longitude_deg"]
    write(outdir, "pvlib-sun", "places.csv", [*head, "zenith_deg", "azimuth_deg"], places)
    write(outdir, "pvlib-sun", "planes.csv",
          [*head, "dni_w_m2", "ghi_w_m2", "dhi_w_m2", "tilt_deg", "facing_deg", "incident_w_m2"], planes)
