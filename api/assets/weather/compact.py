"""Makes greensboro-723170.csv from the TMY3 file of station 723170.

The source file is public data of the United States government (NREL National Solar Radiation
Data Base, typical meteorological year 3). A copy lies in the Python wheel pvlib 0.16.1 as
pvlib/data/723170TYA.CSV:

    pip download --no-deps pvlib==0.16.1 && unzip pvlib-0.16.1-*.whl pvlib/data/723170TYA.CSV
    python3 compact.py pvlib/data/723170TYA.CSV > greensboro-723170.csv

Only the columns that the year uses are kept, with the digits of the source. Row h holds the
instant values at the end of hour h of the year and the mean irradiance of that hour, as the
source's user's manual defines them (Wilcox and Marion 2008, NREL/TP-581-43156).
"""

import csv
import sys

COLUMNS = [
    ("dry_bulb [degC]", "Dry-bulb (C)", "{:.1f}"),
    ("dew_point [degC]", "Dew-point (C)", "{:.1f}"),
    ("pressure [hPa]", "Pressure (mbar)", "{:.0f}"),
    ("wind_speed [m/s]", "Wspd (m/s)", "{:.1f}"),
    ("wind_from [deg]", "Wdir (degrees)", "{:.0f}"),
    ("ghi [W/m2]", "GHI (W/m^2)", "{:.0f}"),
    ("dni [W/m2]", "DNI (W/m^2)", "{:.0f}"),
    ("dhi [W/m2]", "DHI (W/m^2)", "{:.0f}"),
]


def main(path):
    with open(path, newline="") as source:
        rows = list(csv.reader(source))
    number, name, state, utc, latitude, longitude, elevation = rows[0]
    head = rows[1]
    places = [head.index(original) for _, original, _ in COLUMNS]
    print(f"# station: {number} {name.title()}, {state}, USA")
    print(f"# latitude: {latitude} deg")
    print(f"# longitude: {longitude} deg")
    print(f"# elevation: {elevation} m")
    print(f"# utc_offset: {float(utc):g} h")
    print("# source: TMY3, NREL National Solar Radiation Data Base, public data of the United States government")
    print(",".join(["hour"] + [column for column, _, _ in COLUMNS]))
    for hour, row in enumerate(rows[2:], start=1):
        cells = [form.format(float(row[place])) for place, (_, _, form) in zip(places, COLUMNS)]
        print(",".join([str(hour)] + cells))


if __name__ == "__main__":
    main(sys.argv[1])
