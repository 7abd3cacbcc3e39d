//! What the visit page knows of each kind of test beyond its document: where it stands in a good order,
//! what it takes of time and kit, what the house must have for it, which keys are typed first, and where
//! its readings feel and compare. A new kind of test is one entry.

use engine::next::Minutes;

/// A part of the visit, in the order of the work: what burns first, then the envelope while the fan
/// stands in its door, then what needs the air handler, then what takes its own time.
pub(super) const PARTS: &[&str] =
    &["combustion", "envelope", "zones", "ducts", "flows", "moisture", "gases", "paper"];

/// What a house must have for a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wants {
    Nothing,
    /// Fuel in or at the house.
    Fuel,
    /// An air handler.
    Handler,
    /// An air handler and rooms that can be shut.
    Rooms,
    /// Exhaust or supply fans.
    Fans,
    /// A space around the rooms.
    Spaces,
    /// An envelope test of this visit.
    Test,
    /// Two envelope tests.
    TwoTests,
}

/// A place that a reading feels or compares with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spot {
    /// The main body of the rooms.
    Main,
    /// The zone that the test names under `zone`.
    Zone,
    /// The room that the entry names under `room`.
    Room,
    Outdoors,
}

/// One kind of test.
#[derive(Debug)]
pub(super) struct Kind {
    /// As written in documents.
    pub kind: &'static str,
    /// Its part of the visit.
    pub part: &'static str,
    /// Whether most houses get it.
    pub usual: bool,
    /// Whether it draws air down, so that the screen and the combustion gate come first.
    pub draws: bool,
    /// What the house must have.
    pub wants: Wants,
    /// Of the kit.
    pub tools: &'static [&'static str],
    /// Minutes: keys of `[minutes]` with how often; common practice, no source.
    pub minutes: &'static [(&'static str, f64)],
    /// Keys typed first.
    pub main: &'static [&'static str],
    /// Taps: the key read, what it feels, what it is compared with.
    pub taps: &'static [(&'static str, Spot, Spot)],
}

const BLANK: Kind = Kind {
    kind: "",
    part: "paper",
    usual: false,
    draws: false,
    wants: Wants::Nothing,
    tools: &[],
    minutes: &[("reading", 1.0)],
    main: &[],
    taps: &[],
};

use Spot::{Main, Outdoors, Room, Zone};

/// All of them, in a good order.
pub(super) const ALL: &[Kind] = &[
    Kind {
        kind: "combustion zone",
        part: "combustion",
        usual: true,
        draws: true,
        wants: Wants::Fuel,
        tools: &["gauge", "analyser", "gas-meter"],
        minutes: &[("tube", 1.0), ("reading", 6.0), ("door", 4.0), ("switch", 6.0), ("flue", 1.0)],
        main: &[
            "zone",
            "protocol",
            "exhausts",
            "baseline_before",
            "state",
            "spillage",
            "flue_co",
            "ambient",
            "pressure",
            "values",
            "place",
            "appliance",
            "exhausts",
            "doors",
            "handler",
            "house",
        ],
        taps: &[("pressure", Zone, Outdoors)],
    },
    Kind {
        kind: "fan pressures",
        part: "combustion",
        draws: true,
        wants: Wants::Fans,
        tools: &["gauge"],
        minutes: &[("tube", 1.0), ("reading", 4.0), ("switch", 3.0)],
        main: &["pressure_with", "baseline_before", "state", "on", "pressure"],
        taps: &[("pressure", Main, Outdoors)],
        ..BLANK
    },
    Kind {
        kind: "envelope",
        part: "envelope",
        usual: true,
        draws: true,
        tools: &["gauge", "test-fan"],
        minutes: &[("fan_in", 1.0), ("reading", 10.0), ("fan_out", 1.0)],
        main: &[
            "standard",
            "direction",
            "pressure_with",
            "flow_with",
            "baseline_before",
            "stations",
            "baseline_after",
        ],
        taps: &[("stations", Main, Outdoors)],
        ..BLANK
    },
    Kind {
        kind: "sealing session",
        part: "envelope",
        draws: true,
        tools: &["gauge", "test-fan"],
        minutes: &[("fan_in", 1.0), ("reading", 20.0), ("fan_out", 1.0)],
        main: &["flow_with", "baseline", "rows", "repair", "target", "what", "done"],
        taps: &[("rows", Main, Outdoors)],
        ..BLANK
    },
    Kind {
        kind: "infrared",
        part: "envelope",
        draws: true,
        tools: &["camera", "test-fan"],
        minutes: &[("reading", 10.0)],
        main: &["house", "steady_for", "tells", "spot", "before", "during", "indoor", "outdoor"],
        ..BLANK
    },
    Kind {
        kind: "zone pressures",
        part: "zones",
        usual: true,
        draws: true,
        wants: Wants::Spaces,
        tools: &["gauge", "test-fan"],
        minutes: &[("tube", 2.0), ("reading", 6.0), ("hatch", 1.0)],
        main: &[
            "zone",
            "pressure_with",
            "flow_with",
            "as_found",
            "opened",
            "house_zone",
            "zone_outdoors",
            "house_outdoors",
            "flow",
            "between",
            "hole_at50",
            "hole_area",
        ],
        taps: &[
            ("house_zone", Main, Zone),
            ("zone_outdoors", Zone, Outdoors),
            ("house_outdoors", Main, Outdoors),
        ],
    },
    Kind {
        kind: "room pressures",
        part: "ducts",
        usual: true,
        wants: Wants::Rooms,
        tools: &["gauge"],
        minutes: &[("tube", 3.0), ("reading", 3.0), ("door", 3.0), ("switch", 1.0)],
        main: &["pressure_with", "room", "pressure", "handler_off", "flow", "limit", "limit_source"],
        taps: &[("pressure", Room, Main), ("main_body_doors_shut", Main, Outdoors)],
        ..BLANK
    },
    Kind {
        kind: "static pressure",
        part: "ducts",
        usual: true,
        wants: Wants::Handler,
        tools: &["gauge"],
        minutes: &[("switch", 1.0), ("tube", 4.0), ("reading", 4.0)],
        main: &[
            "filter",
            "coil",
            "pressure_with",
            "mode",
            "taps",
            "before_filter",
            "after_filter",
            "before_coil",
            "after_coil",
            "supply",
            "limit",
            "limit_source",
        ],
        ..BLANK
    },
    Kind {
        kind: "handler flow",
        part: "ducts",
        usual: true,
        wants: Wants::Handler,
        tools: &["gauge", "plate"],
        minutes: &[("plate", 1.0), ("reading", 4.0), ("switch", 1.0)],
        main: &[
            "method",
            "plate_flows",
            "flow_with",
            "supply_operating",
            "supply_during_test",
            "pressure_with",
            "fan_flow",
            "heat_from",
            "heat",
            "before",
            "after",
            "register",
            "flow",
            "side",
            "cooling_capacity",
            "power",
        ],
        ..BLANK
    },
    Kind {
        kind: "pressure pans",
        part: "ducts",
        usual: true,
        draws: true,
        wants: Wants::Handler,
        tools: &["gauge", "test-fan", "pan"],
        minutes: &[("pan", 8.0), ("tube", 1.0), ("reading", 2.0)],
        main: &["house", "handler", "zone", "register", "reads", "to_house", "open_area", "supply_plenum"],
        ..BLANK
    },
    Kind {
        kind: "duct leakage",
        part: "ducts",
        wants: Wants::Handler,
        tools: &["gauge", "duct-tester"],
        minutes: &[("duct_tester", 1.0), ("barrier", 1.0), ("reading", 6.0)],
        main: &[
            "tap",
            "pressure_with",
            "flow_with",
            "run",
            "readings",
            "part",
            "to",
            "direction",
            "supply_plenum",
            "adopted",
        ],
        ..BLANK
    },
    Kind {
        kind: "dominant leak",
        part: "ducts",
        wants: Wants::Handler,
        tools: &["gauge"],
        minutes: &[("tube", 1.0), ("reading", 6.0), ("switch", 3.0)],
        main: &["doors", "envelope", "repeats", "last_off", "outdoor_air_intake"],
        taps: &[("repeats", Main, Outdoors)],
        ..BLANK
    },
    Kind {
        kind: "coil capacity",
        part: "ducts",
        wants: Wants::Handler,
        tools: &["thermometer", "hygrometer"],
        minutes: &[("switch", 1.0), ("reading", 4.0)],
        main: &["handler_flow", "handler_flow_from", "entering", "leaving", "dry_bulb", "wet_bulb", "rh"],
        ..BLANK
    },
    Kind {
        kind: "fan flow",
        part: "flows",
        usual: true,
        wants: Wants::Fans,
        tools: &["hood"],
        minutes: &[("hood", 1.0), ("reading", 1.0), ("switch", 1.0)],
        main: &["of", "by", "flow", "flows", "with", "serves", "way", "speed", "diameter", "hood_resistance"],
        ..BLANK
    },
    Kind {
        kind: "recovery balance",
        part: "flows",
        tools: &["hood", "thermometer"],
        minutes: &[("hood", 2.0), ("reading", 6.0)],
        main: &[
            "supply",
            "exhaust",
            "supply_with",
            "exhaust_with",
            "outdoor",
            "supplied",
            "extract",
            "exhausted",
        ],
        ..BLANK
    },
    Kind {
        kind: "settled reading",
        part: "flows",
        tools: &["logger"],
        minutes: &[("reading", 5.0)],
        main: &["measures", "series", "column", "points", "of", "start"],
        ..BLANK
    },
    Kind {
        kind: "surface",
        part: "moisture",
        usual: true,
        tools: &["thermometer", "hygrometer"],
        minutes: &[("reading", 2.0)],
        main: &["place", "air", "rh", "surface", "temperature_with", "humidity_with"],
        ..BLANK
    },
    Kind {
        kind: "surface meter",
        part: "moisture",
        tools: &["moisture-meter"],
        minutes: &[("reading", 3.0)],
        main: &["material", "dry", "spot", "reads"],
        ..BLANK
    },
    Kind {
        kind: "wood moisture",
        part: "moisture",
        tools: &["moisture-meter"],
        minutes: &[("reading", 2.0)],
        main: &["place", "readings", "species", "species_correction", "air", "rh", "with"],
        ..BLANK
    },
    Kind {
        kind: "mould index",
        part: "moisture",
        tools: &["logger"],
        minutes: &[("reading", 3.0)],
        main: &["series", "surface", "rh", "material", "decline"],
        ..BLANK
    },
    Kind {
        kind: "decay",
        part: "gases",
        usual: true,
        tools: &["gas-meter"],
        minutes: &[("reading", 4.0)],
        main: &["gas_with", "background", "background_with", "zone", "volume", "points"],
        ..BLANK
    },
    Kind {
        kind: "build-up",
        part: "gases",
        tools: &["gas-meter"],
        minutes: &[("reading", 4.0)],
        main: &["gas_with", "background", "background_with", "zone", "volume", "points", "person", "count"],
        ..BLANK
    },
    Kind {
        kind: "steady state",
        part: "gases",
        tools: &["gas-meter"],
        minutes: &[("reading", 2.0)],
        main: &[
            "level",
            "steady_for",
            "background",
            "gas_with",
            "background_with",
            "zone",
            "volume",
            "person",
            "count",
            "activity",
        ],
        ..BLANK
    },
    Kind {
        kind: "two zones",
        part: "gases",
        tools: &["gas-meter", "logger"],
        minutes: &[("reading", 6.0)],
        main: &["series", "column", "points", "volumes", "background"],
        ..BLANK
    },
    Kind {
        kind: "ventilation rate",
        usual: true,
        main: &["rule", "dwelling", "weather_factor", "fan", "room", "flow_from", "flow"],
        ..BLANK
    },
    Kind {
        kind: "tightness room",
        wants: Wants::Test,
        main: &["envelope", "exhausts", "supplies", "limit", "limit_source"],
        ..BLANK
    },
    Kind {
        kind: "infiltration",
        wants: Wants::Test,
        main: &["model", "envelope", "storeys", "shelter", "foundation", "weather"],
        ..BLANK
    },
    Kind { kind: "change", wants: Wants::TwoTests, main: &["first", "second", "down_by"], ..BLANK },
    Kind { kind: "guarded unit", wants: Wants::TwoTests, main: &["guarded", "unguarded"], ..BLANK },
    Kind {
        kind: "duct leakage by difference",
        wants: Wants::TwoTests,
        main: &["open", "sealed", "duct"],
        ..BLANK
    },
    Kind {
        kind: "delivery effectiveness",
        wants: Wants::Handler,
        main: &["handler_flow", "handler_flow_from", "capacity", "supply", "return"],
        ..BLANK
    },
    Kind {
        kind: "bills",
        main: &["series", "temperatures", "outdoor_column", "fuel", "heat_content", "efficiency"],
        ..BLANK
    },
];

/// What is known of a kind.
pub(super) fn of(kind: &str) -> Option<&'static Kind> {
    ALL.iter().find(|k| k.kind == kind)
}

/// Minutes of work of a kind.
pub(super) fn minutes(kind: &Kind, mut usual: Minutes) -> f64 {
    let each = usual.named();
    let of = |key: &str| each.iter().find(|(name, _)| *name == key).map_or(0.0, |(_, m)| **m);
    kind.minutes.iter().map(|(key, times)| of(key) * times).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::doc::field::KINDS;

    #[test]
    fn every_kind_of_document_has_its_place_in_the_order_and_no_other() {
        for kind in KINDS.iter().map(|k| k.0).chain(["envelope"]) {
            let found = of(kind).unwrap_or_else(|| panic!("{kind} has no place in a visit"));
            assert!(PARTS.contains(&found.part), "{kind}");
            assert!(minutes(found, Minutes::default()) > 0.0, "{kind}");
        }
        assert_eq!(ALL.len(), KINDS.len() + 1);
    }

    #[test]
    fn the_minutes_of_the_job_count() {
        let envelope = of("envelope").unwrap();
        assert!((minutes(envelope, Minutes::default()) - 38.0).abs() < 1e-9);
        assert!((minutes(envelope, Minutes::of(&[("fan_in", 60.0)])) - 27.0).abs() < 1e-9);
    }
}
