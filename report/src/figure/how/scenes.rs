//! What stands where in the drawing of each kind of test: a few lines a kind.

use super::marks::{Mark, Thing};
use super::{Ground, Scene};
use Thing::{
    AirIn, AirOut, Beam, Box, Burner, Camera, Compared, Cover, Curve, Drop, Ducts, ExhaustFan, Feels, Gas,
    Here, Hood, Patch, Person, Reads, TestFan, Window,
};

const fn mark(thing: Thing, at: (f64, f64), badge: (f64, f64), word: &'static str) -> Mark {
    Mark { thing, at, badge, word }
}

// Things that many tests share stand at the same place in each.
const FAN: Mark = mark(TestFan, (66.0, 168.0), (40.0, 168.0), "scene-test-fan");
const WINDOW: Mark = mark(Window, (262.0, 134.0), (284.0, 134.0), "scene-shut");
const FEELS: Mark = mark(Feels, (112.0, 150.0), (132.0, 140.0), "scene-feels-house");
const OUTDOORS: Mark = mark(Compared, (298.0, 180.0), (298.0, 160.0), "scene-compared-outdoors");
const OPEN: Mark = mark(Here, (164.0, 168.0), (144.0, 168.0), "scene-door-open");
const SHUT: Mark = mark(Here, (164.0, 168.0), (144.0, 168.0), "scene-door-shut");
const BURNER: Mark = mark(Burner, (232.0, 172.0), (208.0, 172.0), "scene-burner");
const EXHAUST: Mark = mark(ExhaustFan, (96.0, 118.0), (118.0, 118.0), "scene-exhausts");
const DUCTS: Mark = mark(Ducts, (164.0, 84.0), (164.0, 62.0), "scene-handler");
const LOST: Mark = mark(AirOut(0.0, -34.0), (204.0, 78.0), (222.0, 44.0), "scene-duct-leak");
const GAS_READ: Mark = mark(Reads, (212.0, 142.0), (230.0, 134.0), "scene-gas-read");
const OUT_READ: Mark = mark(Reads, (298.0, 180.0), (298.0, 160.0), "scene-gas-outdoors");

const fn scene(kind: &'static str, ground: Ground, marks: &'static [Mark]) -> Scene {
    Scene { kind, ground, marks }
}

use Ground::{House, Machine, OverCrawl, Rooms, TwoHomes};

/// Every kind of test.
pub(super) const ALL: &[Scene] = &[
    scene("envelope", Rooms(true), &[FAN, WINDOW, OPEN, FEELS, OUTDOORS]),
    scene(
        "combustion zone",
        Rooms(false),
        &[
            EXHAUST,
            BURNER,
            mark(Feels, (188.0, 150.0), (206.0, 142.0), "scene-feels-burner-room"),
            OUTDOORS,
            mark(Reads, (232.0, 132.0), (208.0, 120.0), "scene-flue-read"),
            SHUT,
        ],
    ),
    scene("fan pressures", House, &[EXHAUST, WINDOW, FEELS, OUTDOORS]),
    scene(
        "sealing session",
        House,
        &[FAN, mark(AirIn(-34.0, 0.0), (290.0, 126.0), (300.0, 142.0), "scene-leak-sealed"), FEELS, OUTDOORS],
    ),
    scene(
        "infrared",
        House,
        &[
            FAN,
            mark(Camera(64.0, -20.0), (190.0, 154.0), (190.0, 174.0), "scene-camera"),
            mark(AirIn(-30.0, 0.0), (296.0, 126.0), (300.0, 144.0), "scene-leak"),
            mark(Patch, (262.0, 134.0), (284.0, 166.0), "scene-patch"),
        ],
    ),
    scene(
        "zone pressures",
        House,
        &[
            FAN,
            mark(Feels, (164.0, 82.0), (182.0, 70.0), "scene-feels-space"),
            mark(Compared, (112.0, 150.0), (132.0, 140.0), "scene-compared-house"),
            OUTDOORS,
            mark(Here, (220.0, 104.0), (220.0, 118.0), "scene-hatch-shut"),
        ],
    ),
    scene(
        "room pressures",
        Rooms(false),
        &[
            DUCTS,
            mark(AirOut(0.0, 30.0), (220.0, 108.0), (238.0, 126.0), "scene-supply"),
            SHUT,
            mark(Feels, (198.0, 156.0), (218.0, 156.0), "scene-feels-room"),
            mark(Compared, (100.0, 150.0), (120.0, 140.0), "scene-compared-main"),
        ],
    ),
    scene(
        "duct leakage",
        House,
        &[
            DUCTS,
            mark(TestFan, (108.0, 118.0), (86.0, 122.0), "scene-duct-fan"),
            mark(Cover, (220.0, 109.0), (240.0, 122.0), "scene-registers-sealed"),
            mark(Feels, (204.0, 84.0), (222.0, 54.0), "scene-feels-duct"),
            OUTDOORS,
        ],
    ),
    scene(
        "pressure pans",
        House,
        &[
            FAN,
            mark(Ducts, (164.0, 84.0), (164.0, 62.0), "scene-handler-off"),
            mark(Box(13.0, 5.0), (220.0, 112.0), (244.0, 118.0), "scene-pan"),
            mark(Feels, (220.0, 98.0), (240.0, 60.0), "scene-feels-pan"),
            mark(Compared, (112.0, 150.0), (132.0, 140.0), "scene-compared-house"),
        ],
    ),
    scene("dominant leak", Rooms(true), &[DUCTS, LOST, OPEN, FEELS, OUTDOORS]),
    scene(
        "delivery effectiveness",
        House,
        &[
            DUCTS,
            LOST,
            mark(Reads, (220.0, 114.0), (240.0, 122.0), "scene-supply-read"),
            mark(Reads, (108.0, 114.0), (88.0, 122.0), "scene-return-read"),
            mark(Reads, (164.0, 98.0), (164.0, 122.0), "scene-space-read"),
        ],
    ),
    scene(
        "duct leakage by difference",
        House,
        &[
            FAN,
            DUCTS,
            mark(Cover, (220.0, 109.0), (240.0, 122.0), "scene-registers-second"),
            mark(Cover, (108.0, 109.0), (88.0, 122.0), "scene-grilles-second"),
            FEELS_LOW,
            OUTDOORS,
        ],
    ),
    scene(
        "static pressure",
        Machine,
        &[
            mark(Feels, (52.0, 120.0), (52.0, 74.0), "scene-tap-return"),
            mark(Feels, (122.0, 106.0), (122.0, 66.0), "scene-tap-filter"),
            mark(Feels, (190.0, 106.0), (190.0, 66.0), "scene-tap-blower"),
            mark(Feels, (280.0, 120.0), (280.0, 74.0), "scene-tap-supply"),
            mark(Compared, (156.0, 180.0), (178.0, 180.0), "scene-compared-here"),
        ],
    ),
    scene(
        "handler flow",
        Machine,
        &[
            mark(AirOut(38.0, 0.0), (14.0, 120.0), (33.0, 164.0), "scene-return-air"),
            mark(Here, (102.0, 120.0), (102.0, 66.0), "scene-filter-slot"),
            mark(Here, (156.0, 120.0), (156.0, 66.0), "scene-blower"),
            mark(Feels, (280.0, 120.0), (280.0, 74.0), "scene-tap-supply-same"),
        ],
    ),
    scene(
        "coil capacity",
        Machine,
        &[
            mark(Reads, (52.0, 120.0), (52.0, 74.0), "scene-air-entering"),
            mark(Here, (215.0, 120.0), (215.0, 66.0), "scene-coil"),
            mark(Reads, (280.0, 120.0), (280.0, 74.0), "scene-air-leaving"),
            mark(Drop, (215.0, 178.0), (235.0, 180.0), "scene-water"),
        ],
    ),
    scene(
        "fan flow",
        Rooms(true),
        &[
            mark(ExhaustFan, (112.0, 114.0), (90.0, 92.0), "scene-one-fan"),
            mark(Hood, (112.0, 126.0), (140.0, 138.0), "scene-hood"),
            mark(AirOut(0.0, -20.0), (112.0, 176.0), (92.0, 168.0), "scene-into-hood"),
            WINDOW,
        ],
    ),
    scene(
        "settled reading",
        House,
        &[
            mark(Reads, (212.0, 142.0), (230.0, 134.0), "scene-slow-read"),
            mark(Curve(0.0, 1.0), (124.0, 150.0), (176.0, 150.0), "scene-curve-settles"),
        ],
    ),
    scene(
        "recovery balance",
        House,
        &[
            mark(Box(22.0, 13.0), (164.0, 84.0), (164.0, 60.0), "scene-recovery"),
            mark(AirIn(74.0, 0.0), (66.0, 88.0), (40.0, 88.0), "scene-fresh-in"),
            mark(AirOut(74.0, 0.0), (188.0, 88.0), (290.0, 88.0), "scene-stale-out"),
            mark(Hood, (112.0, 106.0), (86.0, 118.0), "scene-hood-supply"),
            mark(Hood, (216.0, 106.0), (244.0, 118.0), "scene-hood-exhaust"),
        ],
    ),
    scene(
        "ventilation rate",
        Rooms(true),
        &[
            mark(Person, (206.0, 188.0), (226.0, 168.0), "scene-people"),
            mark(ExhaustFan, (96.0, 118.0), (118.0, 118.0), "scene-ventilation-fan"),
            mark(AirIn(-34.0, 0.0), (296.0, 126.0), (300.0, 144.0), "scene-leak-counts"),
            mark(Here, (112.0, 160.0), (112.0, 160.0), "scene-floor-area"),
        ],
    ),
    scene(
        "tightness room",
        House,
        &[
            EXHAUST,
            mark(AirIn(-34.0, 0.0), (296.0, 126.0), (300.0, 144.0), "scene-leak-left"),
            BURNER,
            FEELS_LOW,
            OUT_LOW,
        ],
    ),
    scene(
        "infiltration",
        House,
        &[
            mark(AirIn(40.0, 0.0), (12.0, 126.0), (22.0, 106.0), "scene-wind"),
            mark(AirIn(34.0, 0.0), (40.0, 178.0), (24.0, 178.0), "scene-in-low"),
            mark(AirOut(0.0, -40.0), (192.0, 118.0), (212.0, 118.0), "scene-out-high"),
            mark(Reads, (128.0, 146.0), (148.0, 140.0), "scene-indoor-read"),
            mark(Reads, (298.0, 180.0), (298.0, 160.0), "scene-outdoor-read"),
        ],
    ),
    scene(
        "change",
        Rooms(true),
        &[
            mark(TestFan, (66.0, 168.0), (40.0, 168.0), "scene-fan-twice"),
            OPEN,
            mark(Cover, (220.0, 104.0), (240.0, 120.0), "scene-work-between"),
            mark(Feels, (112.0, 140.0), (132.0, 130.0), "scene-feels-house"),
            OUTDOORS,
        ],
    ),
    scene(
        "guarded unit",
        TwoHomes,
        &[
            FAN,
            mark(TestFan, (262.0, 168.0), (288.0, 168.0), "scene-guard-fan"),
            mark(Feels, (112.0, 140.0), (132.0, 130.0), "scene-feels-unit"),
            mark(Feels, (214.0, 140.0), (194.0, 130.0), "scene-feels-neighbour"),
            mark(Here, (164.0, 160.0), (146.0, 164.0), "scene-party-wall"),
        ],
    ),
    scene(
        "surface",
        House,
        &[
            mark(Patch, (260.0, 134.0), (284.0, 134.0), "scene-cold-patch"),
            mark(Reads, (212.0, 150.0), (212.0, 170.0), "scene-air-read"),
            mark(Reads, (298.0, 180.0), (316.0, 170.0), "scene-outdoor-read"),
        ],
    ),
    scene(
        "surface meter",
        House,
        &[
            mark(Reads, (252.0, 174.0), (234.0, 166.0), "scene-wet-spot"),
            mark(Reads, (252.0, 122.0), (234.0, 122.0), "scene-dry-place"),
            mark(Drop, (284.0, 180.0), (304.0, 180.0), "scene-rain"),
        ],
    ),
    scene(
        "wood moisture",
        OverCrawl,
        &[
            mark(Beam, (120.0, 199.0), (98.0, 207.0), "scene-wood"),
            mark(Beam, (214.0, 199.0), (236.0, 207.0), "scene-wood-other"),
            mark(Reads, (164.0, 212.0), (182.0, 220.0), "scene-space-air"),
            mark(AirIn(34.0, 0.0), (38.0, 196.0), (24.0, 180.0), "scene-vent"),
        ],
    ),
    scene(
        "mould index",
        House,
        &[
            mark(Patch, (260.0, 134.0), (284.0, 134.0), "scene-watched-patch"),
            mark(Reads, (240.0, 160.0), (224.0, 172.0), "scene-logger"),
            mark(Curve(0.2, 0.9), (124.0, 146.0), (178.0, 146.0), "scene-curve-weeks"),
        ],
    ),
    scene(
        "decay",
        Rooms(false),
        &[
            mark(Gas, (210.0, 172.0), (236.0, 172.0), "scene-gas-let-in"),
            GAS_READ,
            mark(Curve(1.0, 0.1), (112.0, 136.0), (86.0, 174.0), "scene-curve-falls"),
            SHUT,
            OUT_READ,
        ],
    ),
    scene(
        "build-up",
        Rooms(false),
        &[
            mark(Person, (186.0, 188.0), (206.0, 172.0), "scene-person-in"),
            GAS_READ,
            mark(Curve(0.1, 1.0), (112.0, 136.0), (86.0, 174.0), "scene-curve-rises"),
            SHUT,
            OUT_READ,
        ],
    ),
    scene(
        "steady state",
        Rooms(false),
        &[
            mark(Person, (186.0, 188.0), (206.0, 172.0), "scene-sleepers"),
            GAS_READ,
            mark(Curve(0.5, 1.0), (112.0, 136.0), (86.0, 174.0), "scene-curve-level"),
            SHUT,
            OUT_READ,
        ],
    ),
    scene(
        "two zones",
        Rooms(true),
        &[
            mark(Gas, (98.0, 172.0), (122.0, 178.0), "scene-gas-let-in"),
            mark(Reads, (112.0, 140.0), (130.0, 132.0), "scene-gas-read-here"),
            mark(Reads, (216.0, 140.0), (234.0, 132.0), "scene-gas-read-there"),
            mark(Here, (164.0, 168.0), (198.0, 168.0), "scene-door-as-meant"),
            mark(AirIn(-34.0, 0.0), (296.0, 166.0), (300.0, 146.0), "scene-outdoor-air"),
        ],
    ),
    scene(
        "bills",
        House,
        &[
            mark(Box(8.0, 11.0), (60.0, 150.0), (38.0, 150.0), "scene-meter"),
            mark(Reads, (298.0, 180.0), (298.0, 160.0), "scene-outdoor-days"),
            mark(AirOut(0.0, -44.0), (212.0, 120.0), (232.0, 120.0), "scene-heat-lost"),
            mark(Burner, (120.0, 172.0), (146.0, 172.0), "scene-heater"),
        ],
    ),
];

const FEELS_LOW: Mark = mark(Feels, (130.0, 160.0), (150.0, 150.0), "scene-feels-house");
const OUT_LOW: Mark = mark(Compared, (298.0, 182.0), (316.0, 172.0), "scene-compared-outdoors");
