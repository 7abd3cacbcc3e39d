//! Air that leaks in by itself.

use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::field::infiltration::{Infiltration, Model as Written};
use engine::procedure::infiltration::{
    Aim2, Asked, Enhanced, Foundation, Model, Moment, Shelter, Storeys, evaluate, n_factor,
};

pub(super) fn work(asked: &Infiltration, around: &Around<'_>) -> Option<Done> {
    let test = around.envelope_test(asked.envelope.as_ref());
    if test.is_none() && asked.envelope.is_none() {
        around.say(Diagnostic::error(code::X131).at(asked.span.clone()));
    }
    let result = &test?.result;
    let exponent = result.exponent.total.si;
    let model = model(asked, exponent, around)?;
    let weather = weather(asked, around);
    if weather.is_empty() && !matches!(model, Model::NFactor(_)) {
        around.say(Diagnostic::error(code::X132).at(asked.span.clone()));
        return None;
    }
    let found = evaluate(&Asked {
        model,
        flow4: result.figures.flow_at(4.0)?.flow.total,
        flow50: result.figures.flow_at(50.0)?.flow.total,
        exponent,
        indoor_k: asked.indoor_k.unwrap_or(around.indoor_k()),
        weather,
        volume_m3: around.volume_m3(),
    });
    Some(Done::new(&found, found.worked()))
}

fn weather(asked: &Infiltration, around: &Around<'_>) -> Vec<Moment> {
    let typed = asked.outdoor_k.is_some() || asked.wind_m_s.is_some();
    if let Some(weather) = around.weather.filter(|_| asked.year.unwrap_or(!typed)) {
        let of = |h: &engine::weather::Hour| Moment { outdoor_k: h.temp_k, wind_m_s: h.wind_m_s };
        return weather.hours.iter().map(of).collect();
    }
    if asked.year == Some(true) {
        return Vec::new();
    }
    let conditions = &around.visit.conditions;
    let moment = asked.outdoor_k.or(conditions.outdoor_k).zip(asked.wind_m_s.or(conditions.wind_m_s));
    moment.into_iter().map(|(outdoor_k, wind_m_s)| Moment { outdoor_k, wind_m_s }).collect()
}

fn model(asked: &Infiltration, exponent: f64, around: &Around<'_>) -> Option<Model> {
    if asked.model.value == Written::NFactor {
        let [climate, height, shelter, cracks] = asked.factors;
        let (height, shelter, cracks) =
            (height.unwrap_or(1.0), shelter.unwrap_or(1.0), cracks.unwrap_or(1.0));
        let n = asked.n.or_else(|| climate.map(|c| n_factor(c, height, shelter, cracks)));
        return n.map(Model::NFactor);
    }
    // What is missing was said when the table was read.
    let (storeys, shelter): (Storeys, Shelter) = (asked.storeys?, asked.shelter?);
    if asked.model.value == Written::Basic {
        return Some(Model::Basic(storeys, shelter));
    }
    let foundation: Foundation = asked.foundation?;
    let enhanced = Enhanced { storeys, shelter, foundation, flue: asked.flue };
    if asked.model.value == Written::Enhanced {
        return Some(Model::Enhanced(enhanced));
    }
    let height = asked.height_m.or(around.height_m());
    let house = Aim2 {
        n: exponent,
        r: asked.ceiling_and_floor.unwrap_or(0.5),
        x: asked.ceiling_less_floor.unwrap_or(0.0),
        height_m: height.unwrap_or([2.5, 5.0, 7.5][storeys as usize]),
        foundation,
    };
    // The model's terms for a flue were not read anywhere; without one it has none.
    Some(Model::Aim2(house, Enhanced { flue: false, ..enhanced }))
}
