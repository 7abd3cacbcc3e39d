//! Levels and limits of combustion testing, and CO on one basis.

use crate::record::Sheet;
use crate::source::{Source, Status};
use engine::doc::field::combustion_zone::PROTOCOL_IDS;
use engine::procedure::combustion::{self, APPLIANCE_TYPES, Published, protocol};

const PPM: f64 = 1e-6;

/// The engine's numbers beside the source's; what the source saw the engine has to call seen, what was
/// recalled it may not.
pub(super) fn levels(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("levels.csv")?.rows() {
        let name = row.text("protocol")?;
        let id = PROTOCOL_IDS.iter().find(|p| p.0 == name).ok_or_else(|| format!("no protocol {name}"))?.1;
        let p = protocol(id).ok_or_else(|| format!("no numbers of {name}"))?;
        let what = row.text("what")?;
        let (found, unit): (Option<Published>, f64) = match what {
            "tell" => (p.levels.tell, PPM),
            "stop" => (p.levels.stop, PPM),
            "leave" => (p.levels.leave, PPM),
            "spillage warm" => (p.spillage_warm, 1.0),
            "spillage cold" => (p.spillage_cold, 1.0),
            "flue after" => (p.flue_after, 1.0),
            "gas leave" => (p.gas_leave, 1.0),
            "oven" => (p.oven_limit(), PPM),
            appliance => {
                let kind = APPLIANCE_TYPES.iter().find(|k| k.0 == appliance);
                (kind.and_then(|k| p.flue_limit(k.1)).map(|f| f.0), PPM)
            }
        };
        let found = found.ok_or_else(|| format!("{}: the engine has none", row.case()))?;
        if found.seen != (source.status == Status::Seen) {
            return Err(format!("{}: seen in one place and recalled in the other", row.case()));
        }
        sheet.compare("level", row.case(), found.si / unit, row.number("value")?);
    }
    Ok(())
}

pub(super) fn air_free(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("cases.csv")?.rows() {
        let oxygen = row.number("oxygen_percent")? / 100.0;
        let free = combustion::air_free(row.number("ppm")? * PPM, oxygen);
        let free = free.ok_or_else(|| format!("{}: not converted", row.case()))?;
        sheet.compare("air-free CO", row.case(), free / PPM, row.number("air_free_ppm")?);
    }
    Ok(())
}
