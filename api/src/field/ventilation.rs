//! Outdoor air of the whole dwelling by a rule.

use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::field::ventilation::{Fan as WrittenFan, Room, Ventilation};
use engine::measure::{Estimate, NoInterval};
use engine::procedure::ventilation::rates::{Dwelling, Missing};
use engine::procedure::ventilation::{Asked, Fan, Local, Way, WeatherFactor, evaluate};
use engine::units::Quantity;

/// Height of a storey where only their number is told: the rule's own reference height, m.
const STOREY_M: f64 = 2.5;

pub(super) fn work(asked: &Ventilation, around: &Around<'_>) -> Option<Done> {
    let job = around.job;
    let test = around.envelope_test(None);
    let dwelling = Dwelling {
        floor_area_m2: asked.floor_area_m2.or_else(|| around.floor_area_m2()),
        bedrooms: asked.bedrooms.or(job.building.bedrooms),
        people: asked.people,
        volume_m3: asked.volume_m3.or_else(|| around.volume_m3()),
        inch_pound: around.inch_pound(),
    };
    let modelled = match &asked.infiltration_from {
        Some(from) => {
            let ids = ["figure-infiltration-effective", "figure-infiltration", "figure-infiltration-moment"];
            Some(around.figure(from, &ids)?)
        }
        None => None,
    };
    // Storeys told here count before the height, as the reduced form has it.
    let height = asked.storeys.or(around.height_m().map(|h| h / STOREY_M));
    let factor = match (asked.weather_factor, job.place.weather_factor) {
        (Some(value), _) => Some(WeatherFactor { value, confirmed: asked.weather_factor_confirmed }),
        (None, Some(value)) => Some(WeatherFactor { value, confirmed: job.place.weather_factor_confirmed }),
        (None, None) => None,
    };
    let fans: Option<Vec<Fan>> = asked.fans.iter().map(|f| fan(f, around)).collect();
    let locals: Option<Vec<Local>> = asked.rooms.iter().map(|r| room(r, around)).collect();
    let result = evaluate(&Asked {
        profile: asked.rule.value,
        own_rate: asked.own_rate_m3_s.map(|r| (r, asked.own_rate_confirmed)),
        own_source: asked.own_rate_source.clone(),
        dwelling,
        existing: asked.existing,
        nl: test.and_then(|t| t.result.figures.nl).map(|nl| nl.total),
        flow50: test
            .and_then(|t| t.result.figures.flow_at(50.0))
            .zip(height)
            .map(|(f, height)| (f.flow.total, height)),
        weather_factor: factor,
        modelled,
        exterior_share: asked.exterior_share,
        fans: fans?,
        locals: locals?,
        window_m3_s: asked.window_m3_s,
        combination: asked.combination,
    });
    match result {
        Ok(found) => Some(Done::new(&found, found.worked())),
        Err(missing) => {
            let key = match missing {
                Missing::FloorArea => "floor_area",
                Missing::Bedrooms => "bedrooms",
                Missing::Volume => "volume",
                Missing::Rate => "own_rate",
            };
            around.say(
                Diagnostic::error(code::X121)
                    .at(asked.rule.span.clone())
                    .arg("rule", asked.rule.value.id)
                    .arg("key", key),
            );
            None
        }
    }
}

fn fan(written: &WrittenFan, around: &Around<'_>) -> Option<Fan> {
    let measured = around.flow(&written.flow)?;
    // A test of the fan says which way it blows.
    let way = written.flow.from.as_ref().and_then(|from| {
        let way = around.earlier(from)?.detail.get("way")?.as_str()?;
        [Way::Exhaust, Way::Supply, Way::Both]
            .into_iter()
            .find(|w| serde_json::to_value(w).is_ok_and(|v| v == way))
    });
    Some(Fan {
        name: measured.test.unwrap_or_else(|| written.name.clone()),
        flow: measured.flow,
        with: measured.with,
        way: written.way.or(way).unwrap_or(Way::Exhaust),
        schedule: written.schedule.clone(),
    })
}

fn room(written: &Room, around: &Around<'_>) -> Option<Local> {
    let flow = match &written.flow {
        Some(flow) => around.flow(flow)?.flow,
        None => Estimate::without(0.0, Quantity::AirFlow, NoInterval::Exact),
    };
    Some(Local {
        name: written.name.clone(),
        room: written.room,
        flow,
        runs: written.runs,
        volume_m3: written.volume_m3,
        window: written.window,
    })
}
