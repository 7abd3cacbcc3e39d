//! Zone pressures: ratios, add-a-hole, open-a-door.

use crate::record::Sheet;
use crate::source::{Source, number_at};
use engine::procedure::gauge::GaugeError;
use engine::procedure::zone::{
    Asked, Barrier, Hole, Opened, REFERENCE_PA, Readings, Way, ZonePressures, evaluate,
};
use engine::units::Accuracy;

const CFM: f64 = 0.028_316_846_592 / 60.0;

fn readings(hz: f64, zo: f64, cfm: Option<f64>) -> Readings {
    Readings {
        house_zone_pa: Some(hz),
        zone_outdoors_pa: Some(zo),
        house_outdoors_pa: None,
        flow_m3_s: cfm.map(|q| q * CFM),
    }
}

fn asked(as_found: Readings, opened: Vec<Opened>, n: f64) -> Asked {
    Asked {
        test: "case".into(),
        as_found,
        baseline: Readings::default(),
        opened,
        exponent: (n, 0.0),
        gauge: GaugeError::default(),
        flow_accuracy: None,
        flow_repeats: None,
        house_at50: None,
        density_kg_m3: 1.2041,
        limit: None,
    }
}

fn worked(asked: &Asked) -> Result<ZonePressures, String> {
    let (result, said) = evaluate(asked);
    result.ok_or_else(|| format!("not worked: {said:?}"))
}

pub(super) fn pressures(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("ratio.csv")?.rows() {
        let (hz, zo) = (row.number("house_zone_pa")?, row.number("zone_outdoors_pa")?);
        let zone = worked(&asked(readings(hz, zo, None), vec![], 0.65))?;
        sheet.compare("ratio", row.case(), zone.ratio.si, row.number("ratio")?);
        sheet.compare("series flow", row.case(), zone.series.si, row.number("series_of_inner")?);
        // Seen from the other side the barriers change places.
        let turned = worked(&asked(readings(zo, hz, None), vec![], 0.65))?;
        sheet.compare("series flow", row.case(), turned.series.si, row.number("series_of_outer")?);
    }
    let cases = source.json("cases.json")?;
    let get = |path: &str| number_at(&cases, path);
    let n = get("Z-2/input/n")?;
    let found = (get("Z-2/expected/Phz")?, get("Z-2/expected/Pzo")?);
    let at50 = engine::math::pow(REFERENCE_PA, n) * CFM;
    // The house's own flow does not matter to the difference.
    let house_cfm = 3000.0;
    for (case, barrier) in [("Z-3", Barrier::HouseZone), ("Z-4", Barrier::ZoneOutdoors)] {
        let hole = get(&format!("{case}/input/cfm50_hole"))? * CFM;
        let more = get(&format!("{case}/expected/dQ"))?;
        let after = (get(&format!("{case}/expected/Phz2"))?, get(&format!("{case}/expected/Pzo2"))?);
        let opened = Opened {
            barrier,
            hole: Some(Hole::At50 { flow_m3_s: (hole, 0.0), exponent: n }),
            readings: readings(after.0, after.1, Some(house_cfm + more)),
        };
        let zone = worked(&asked(readings(found.0, found.1, Some(house_cfm)), vec![opened], n))?;
        for way in [Way::Hole, Way::Door] {
            let method = zone.methods.iter().find(|m| m.way == way).ok_or("a way is missing")?;
            let name = format!("{case} {way:?}");
            sheet.compare(
                "inner barrier",
                &name,
                method.house_zone.si / at50,
                get(&format!("{case}/expected/Chz"))?,
            );
            sheet.compare(
                "outer barrier",
                &name,
                method.zone_outdoors.si / at50,
                get(&format!("{case}/expected/Czo"))?,
            );
            sheet.compare("flow through the zone", &name, method.through.si / CFM, get("Z-2/expected/Qz")?);
        }
    }
    spread(
        source,
        sheet,
        n,
        found,
        (get("Z-3/expected/Phz2")?, get("Z-3/expected/Pzo2")?, get("Z-3/expected/dQ")?),
    )
}

/// The spread of open-a-door from the flow difference alone: flows read to 1 %, pressures exact.
fn spread(
    source: &Source,
    sheet: &mut Sheet,
    n: f64,
    found: (f64, f64),
    after: (f64, f64, f64),
) -> Result<(), String> {
    let opened = Opened {
        barrier: Barrier::HouseZone,
        hole: None,
        readings: readings(after.0, after.1, Some(3000.0 + after.2)),
    };
    for row in source.table("door_spread.csv")?.rows() {
        let mut asked = asked(readings(found.0, found.1, Some(3000.0)), vec![opened], n);
        let limit = |relative, absolute| Some(Accuracy { relative, absolute, larger: false });
        asked.flow_accuracy = limit(0.01, 0.0);
        // An exact gauge still has to be one, or there is no interval.
        asked.gauge.accuracy = limit(0.0, 1e-9);
        let zone = worked(&asked)?;
        let outer = zone.methods.first().ok_or("no door")?.zone_outdoors;
        let (lo, hi) = outer.bounds().ok_or("no interval")?;
        let half = engine::math::ln(hi / lo) / 2.0 * 100.0;
        sheet.compare("spread of open-a-door", row.case(), half, row.number("percent")?);
    }
    Ok(())
}
