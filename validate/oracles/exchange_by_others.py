"""Reads what the program gives away with other people's libraries.

Answers of every command against the published JSON Schema (jsonschema), the table of readings (csv),
units by UCUM (ucumvert on pint), the HPXML summary (lxml), packs (zipfile). Called by
`run.py --check PROGRAM`; `HPXML_XSD` may name the published schema of HPXML.
"""

import csv
import hashlib
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import xml.etree.ElementTree
import zipfile

import jsonschema
import lxml.etree
import ucumvert

HPXML = "{http://hpxmlonline.com/2023/09}"
OWN = "{urn:airwright:exchange:1}"

# The order of children, where `docs/EXCHANGE.md` knows it.
ORDER = {
    "HPXML": ["XMLTransactionHeaderInformation", "SoftwareInfo", "Building"],
    "Building": ["BuildingID", "Site", "ProjectStatus", "BuildingDetails"],
    "BuildingDetails": ["BuildingSummary", "Enclosure", "Systems", "HealthAndSafety"],
    "BuildingConstruction": [
        "YearBuilt", "NumberofConditionedFloors", "AverageCeilingHeight", "NumberofBedrooms",
        "ConditionedFloorArea", "ConditionedBuildingVolume",
    ],
    "AirInfiltrationMeasurement": [
        "SystemIdentifier", "Date", "OutsideTemperature", "TypeOfInfiltrationMeasurement",
        "TypeOfBlowerDoorTest", "TypeOfInfiltrationLeakage", "HousePressure", "BuildingAirLeakage",
        "EffectiveLeakageArea", "InfiltrationVolume", "InfiltrationHeight", "extension",
    ],
    "Systems": ["HVAC", "MechanicalVentilation", "WaterHeating"],
    "DuctLeakageMeasurement": ["DuctType", "DuctLeakageTestMethod", "DuctLeakage", "extension"],
    "DuctLeakage": ["Units", "Value", "TotalOrToOutside"],
    "VentilationFan": [
        "SystemIdentifier", "FanType", "TestedFlowRate", "HoursInOperation", "FanPower", "extension",
    ],
    "CombustionApplianceZone": [
        "CAZDepressurizationLimit", "BaselineTest", "PoorCaseTest", "NetPressureChange",
        "AmountAmbientCOinCAZduringTesting", "CombustionApplianceTest",
    ],
    "CombustionApplianceTest": [
        "CAZAppliance", "FlueDraftTest", "SpillageTest", "CarbonMonoxideTest", "extension",
    ],
}

INSTRUMENTS = """
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.25 Pa'
[instrument.ring]
measures = 'air flow'
shows = 'flow at calibration density'
accuracy = '3 %'
[instrument.co]
measures = 'gas'
accuracy = '5 % + 3 ppm'
"""

# Tests of kinds that the demonstration house does not have.
TESTS = """
[combustion]
fuel = 'present'
looked_by = 'T. Sample'
looked_where = 'everywhere'
[test.ducts]
kind = 'duct leakage'
tap = 'supply plenum'
pressure_with = 'gauge'
flow_with = 'ring'
[test.ducts.run.blown]
to = 'total'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25.1, 152], [40.0, 203], [15.2, 113], [60.0, 260]] }
[test.zone]
kind = 'combustion zone'
zone = 'closet'
pressure_with = 'gauge'
gas_with = 'co'
flue_with = 'co'
baseline_before = ['Pa', -0.5, -0.4]
limit = '-5 Pa'
limit_source = 'the programme'
[[test.zone.state]]
exhausts = 'on'
pressures = ['Pa', -3.1, -3.3]
[[test.zone.ambient]]
place = 'closet'
values = ['ppm', 0, 2]
[[test.zone.spillage]]
appliance = 'water_heater'
house = 'greatest depressurisation'
spilled_for = '40 s'
[[test.zone.flue_co]]
appliance = 'water_heater'
appliance_type = 'water heater'
value = '60 ppm'
basis = 'air-free'
[[test.zone.draft]]
appliance = 'water_heater'
value = '-2.5 Pa'
"""


class Asked:
    """The program, its schema, and what was found wrong."""

    def __init__(self, program, folder):
        self.program, self.folder, self.wrong, self.checked = program, pathlib.Path(folder), [], 0
        self.schema = json.loads(self.run("schema")[1])
        draft = jsonschema.Draft202012Validator
        for name, schema in self.schema.items():
            if name != "units":
                draft.check_schema(schema)
        self.envelope = draft(self.schema["envelope"])

    def run(self, *words, stdin=""):
        env = {**os.environ, "NO_COLOR": "1"}
        done = subprocess.run([self.program, *map(str, words)], input=stdin, capture_output=True, text=True, env=env)
        return done.returncode, done.stdout, done.stderr

    def say(self, line):
        self.wrong.append(f"exchange: {line}")

    def answer(self, *words, stdin=""):
        """One answer in JSON, held against the schema."""
        code, out, err = self.run(*words, "--json", stdin=stdin)
        self.checked += 1
        said = json.loads(out) if out.strip() else None
        if said is None or code > 2:
            self.say(f"{' '.join(map(str, words))}: no answer, {err[:200]}")
            return None
        for error in list(self.envelope.iter_errors(said))[:3]:
            self.say(f"{' '.join(map(str, words[:2]))}: {error.json_path}: {error.message[:200]}")
        return said


def answers(asked, job):
    for words in ("results", "fit", "rooms", "next", "findings", "rules", "watch", "plans", "work", "report"):
        asked.answer(words, job)
    asked.answer("findings", job, "--all")
    for form in ("readings-csv", "senml", "results", "hpxml"):
        asked.answer("export", job, "--as", form)
    kept = json.loads((job / "out/export/results.json").read_text(encoding="utf-8"))
    for error in asked.envelope.iter_errors(kept):
        asked.say(f"results.json: {error.json_path}: {error.message[:200]}")
    if not kept["data"]["results"]:
        asked.say("results.json holds no result")
    store = asked.folder / "desk.store"
    asked.answer("store", store, "put", job, "--job", "x")
    for words in (("list",), ("history", "x"), ("check",), ("sources",), ("show", "x", "job.toml"), ("get", "none", asked.folder / "g")):
        asked.answer("store", store, *words)
    log = asked.folder / "log.csv"
    log.write_text("time,co2 [ppm]\n2026-11-12 10:00:00,800\n2026-11-12 10:05:00,810\n", encoding="utf-8")
    asked.answer("import", job, log)
    visit = asked.folder / "visit"
    asked.answer("practice", "new", visit, "--house", "mill", "--seed", "7")
    asked.answer("practice", "take", visit, "main compared with outdoors")
    asked.answer("practice", "take", visit, "nonsense")
    (visit / "diagnosis.toml").write_text("format = 1\ncauses = ['tub_hole']\n", encoding="utf-8")
    asked.answer("practice", "answer", visit)
    asked.answer("practice", "reveal", visit)
    # The schema is no empty promise: an answer that lost something does not pass.
    said = asked.answer("results", job)
    del said["data"]["results"][0]["result"]["runs"][0]["exponent"]["total"]["lo"]
    if asked.envelope.is_valid(said):
        asked.say("the schema passes a number without its interval")
    requests = jsonschema.Draft202012Validator(asked.schema["request"])
    good = [
        {"ask": "results"}, {"ask": "fit", "robust": True}, {"ask": "export", "form": "senml"},
        {"ask": "practice", "practice": {"step": "take", "reading": "ambient CO"}},
    ]
    for request in good:
        for error in requests.iter_errors(request):
            asked.say(f"request {request}: {error.message[:200]}")
    if requests.is_valid({"ask": "export", "form": "paper"}):
        asked.say("the schema of requests passes a form that does not exist")


def readings(asked, job):
    with open(job / "out/export/readings.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file, strict=True))
    said = asked.answer("export", job, "--as", "readings-csv")
    if len(rows) != said["data"]["exported"]["count"] or any(None in row or None in row.values() for row in rows):
        asked.say("readings.csv: rows or cells are missing")
    registry = ucumvert.PintUcumRegistry()
    for row in rows:
        float(row["value"])
        registry.from_ucum(row["unit"])
        for key, cell in row.items():
            if key != "value" and cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
                asked.say(f"readings.csv: {key} begins like a formula: {cell}")
    gain = [r for r in rows if r["kind"] == "reading" and r["of"] == "bath_fan"]
    if len(gain) != 1 or gain[0]["unit"] != "[cft_i]/min":
        asked.say("readings.csv: the bath fan's flow is not there")


def units(asked):
    """Every unit of the program by its UCUM code, against a library of units."""
    registry = ucumvert.PintUcumRegistry()
    without = 0
    for quantity in asked.schema["units"]:
        base = next(u for u in quantity["each"])
        for unit in quantity["each"]:
            if not unit["ucum"] or not base["ucum"]:
                without += 1
                continue
            try:
                # The library takes `c` in front of `[ft_i]` for a hundredth; UCUM's code is a cubic foot.
                of = registry.from_ucum(unit["ucum"].replace("[cft_i]", "[ft_i]3"))
                to = registry.from_ucum(base["ucum"])
                magnitude = getattr(of, "magnitude", 1)
                value = registry.Quantity(3.0 * magnitude, of.units if hasattr(of, "units") else of).to(
                    to.units if hasattr(to, "units") else to
                ).magnitude / getattr(to, "magnitude", 1)
            except Exception as error:  # whatever a library of units says
                asked.say(f"{unit['symbol']} as {unit['ucum']}: {type(error).__name__}: {error}")
                continue
            ours = 3.0 * unit["factor"] + unit["offset"] - base["offset"]
            asked.checked += 1
            # The library has columns of water and mercury at 60 degF; UCUM's are conventional ones.
            column = unit["ucum"] in ("[in_i'H2O]", "[in_i'Hg]")
            if not math.isclose(value, ours, rel_tol=4e-3 if column else 1e-6):
                asked.say(f"{unit['symbol']} as {unit['ucum']}: 3 are {value} there and {ours} here")
    return without


def summary(asked, job):
    path = job / "out/export/house.xml"
    root = lxml.etree.parse(str(path)).getroot()
    xml.etree.ElementTree.parse(path)
    if root.tag != f"{HPXML}HPXML" or root.get("schemaVersion") != "4.2":
        asked.say("house.xml: another root")
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    if len(ids) != len(set(ids)) or len(ids) < 5:
        asked.say("house.xml: an id stands twice")
    for e in root.iter():
        if e.get("idref") and e.get("idref") not in ids:
            asked.say(f"house.xml: {e.get('idref')} is nowhere")
        name = lxml.etree.QName(e).localname
        if name not in ORDER or not e.tag.startswith(HPXML):
            continue
        children = [lxml.etree.QName(c).localname for c in e]
        places = [ORDER[name].index(c) if c in ORDER[name] else -1 for c in children]
        if -1 in places or places != sorted(places):
            asked.say(f"house.xml: order in {name}: {children}")
    for document in root.iter(f"{OWN}document"):
        kept = (job / document.get("name")).read_text(encoding="utf-8")
        if document.text != kept:
            asked.say(f"house.xml: {document.get('name')} is not as it was")
    found = {lxml.etree.QName(e).localname: e.text for e in root.iter() if e.text and e.tag.startswith(HPXML)}
    wanted = {"CAZDepressurizationLimit": "-5", "NetPressureChange": "-2.75", "MaxAmbientCOinLivingSpaceDuringAudit": "2", "Units": "CFM25"}
    for key, value in wanted.items():
        if found.get(key) != value:
            asked.say(f"house.xml: {key} is {found.get(key)}, not {value}")
    if not root.findall(f".//{HPXML}CAZAppliance"):
        asked.say("house.xml: the appliance of the combustion test is not named")
    if "HPXML_XSD" in os.environ:
        schema = lxml.etree.XMLSchema(lxml.etree.parse(os.environ["HPXML_XSD"]))
        if not schema.validate(root):
            asked.wrong += [f"exchange: house.xml: {e.line}: {e.message}" for e in list(schema.error_log)[:20]]
    else:
        print("exchange: HPXML_XSD names no schema: order, ids and references are checked, not the schema")


def pack(asked, job):
    path = asked.folder / "job.zip"
    asked.answer("pack", job, path)
    with zipfile.ZipFile(path) as packed:
        if packed.testzip() is not None:
            asked.say("a pack that zipfile cannot read")
        listed = json.loads(packed.read(".pack.json"))["files"]
        for file in listed:
            data = packed.read(file["path"])
            if hashlib.sha256(data).hexdigest() != file["sha256"] or data != (job / file["path"]).read_bytes():
                asked.say(f"pack: {file['path']} is not as it was")
        if sorted(packed.namelist()) != sorted([f["path"] for f in listed] + [".pack.json"]):
            asked.say("pack: the list and the table of contents differ")
    # What another program packs is taken, too.
    other = asked.folder / "other.zip"
    with zipfile.ZipFile(other, "w", zipfile.ZIP_DEFLATED) as made:
        made.write(job / "job.toml", "job.toml")
    said = asked.answer("unpack", other, asked.folder / "other")
    if said["data"]["unpacked"]["files"] != ["job.toml"]:
        asked.say("unpack: a pack of another program is not read")


def check(program):
    """What is wrong, a line each."""
    with tempfile.TemporaryDirectory() as folder:
        asked = Asked(program, folder)
        job = pathlib.Path(folder) / "casa ñ"
        code, _, err = asked.run("demo", job, "--quiet")
        if code != 0:
            return [f"exchange: no demonstration house: {err[:200]}"]
        answers(asked, job)
        visit = next(job.glob("visits/*/visit.toml"))
        text = visit.read_text(encoding="utf-8").split("# ---------------------------------------------------------------- fuel")
        later = text[1].split("# ---------------------------------------------------------------- the house before")
        own = INSTRUMENTS.replace("[instrument.gauge]\nmeasures = 'pressure'\naccuracy = '1 % or 0.25 Pa'\n", "")
        head = "# ---------------------------------------------------------------- the house before"
        visit.write_text(text[0] + own + TESTS + "\n" + head + later[1], encoding="utf-8")
        for form in ("readings-csv", "hpxml", "results", "senml"):
            asked.answer("export", job, "--as", form)
        readings(asked, job)
        without = units(asked)
        summary(asked, job)
        pack(asked, job)
        print(f"exchange: {asked.checked} answers and units checked, {without} units without a UCUM code")
        return asked.wrong


if __name__ == "__main__":
    found = check(sys.argv[1])
    print("\n".join(found))
    sys.exit(1 if found else 0)
