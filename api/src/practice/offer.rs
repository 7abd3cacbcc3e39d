//! What a page offers to read in a practice house: places, flows, what can be touched, and what each
//! reading would cost from where everything stands. Nothing of the truth is in it: minutes depend on where
//! house and instruments stand alone.

use super::{Open, job_minutes, open, take};
use crate::{Inputs, Job};
use engine::doc::Sink;
use engine::house::{House, Place};
use engine::next::Minutes;
use report::words::Words;
use serde_json::{Value, json};

/// Places, flows, looks and switches of the house as drawn, with the minutes of each look and of each of
/// `readings` (words as [`super::Ask::Take`] reads them; nothing where a reading is not understood).
pub(crate) fn offer(job: &Job, inputs: &Inputs, readings: &[String], words: &Words) -> Option<Value> {
    let open = open(inputs).ok()?;
    let house = job.house.as_ref()?;
    let visit = take::visit(&super::visit_name(&open.practice), &open.visit, &Sink::default());
    let stand = take::stand(house, &visit);
    let outdoors = words.say("outdoors");
    let pair = |value: &str, label: &str| json!({ "value": value, "label": label });
    let zones = house.zones.iter().map(|z| pair(&z.name, &z.label));
    let zones: Vec<Value> = zones.chain([pair("outdoors", &outdoors)]).collect();
    let has = |tool: &str| open.practice.takes.contains_key(tool);
    let mut flows: Vec<Value> = Vec::new();
    if has("test_fan") {
        flows.push(pair("test_fan", &words.say("practice-test-fan")));
    }
    if has("air_handler") && house.air_handler.is_some() {
        flows.push(pair("air_handler", &words.say("guide-handler")));
    }
    if has("hood") {
        flows.extend(house.fans.iter().map(|f| pair(&f.text.name.value, &f.text.label)));
        let registers = house.air_handler.iter().flat_map(|h| &h.text.registers);
        flows.extend(registers.map(|r| pair(&r.name.value, &r.label)));
    }
    let mut looks: Vec<Value> = Vec::new();
    for (ask, minutes) in take::LOOKS {
        let key = format!("practice-look-{}", ask.to_lowercase().replace(' ', "-"));
        if ask.ends_with(" of") {
            looks.extend(house.appliances.iter().map(|a| {
                let label = words.text(&key, &[("appliance", a.label.as_str().into())]);
                json!({ "value": format!("{ask} {}", a.name), "label": label, "minutes": minutes })
            }));
        } else {
            looks.push(json!({ "value": ask, "label": words.say(&key), "minutes": minutes }));
        }
    }
    let costs: Vec<Option<f64>> = readings.iter().map(|text| minutes(text, &open, house)).collect();
    Some(json!({
        "label": job.documents.job.name,
        "story": open.practice.story.trim(),
        "minutes": open.record.minutes,
        "left_min": (open.record.minutes - open.record.spent_min()),
        "revealed": open.record.revealed,
        "taken": open.record.taken.iter().map(|s| json!({ "what": s.what, "shown": s.shown, "minutes": s.minutes }))
            .collect::<Vec<_>>(),
        "zones": zones,
        "flows": flows,
        "looks": looks,
        "switches": switches(house, &stand.setup, has("test_fan"), words),
        "costs": costs,
        "may_be": super::may_be(&open.practice).iter().map(|(name, label)| pair(name, label)).collect::<Vec<_>>(),
    }))
}

/// Minutes of one reading or look.
fn minutes(text: &str, open: &Open, house: &House) -> Option<f64> {
    let quiet = Sink::default();
    match take::parse(text)? {
        take::Wanted::Look(look) => Some(look.minutes()),
        take::Wanted::Reading { subject, set } => {
            let draft = if subject.first().is_some_and(|s| s.0 == "flow_of") { "1 m3/s" } else { "-1 Pa" };
            let lines = take::lines(&open.practice, &subject, &set, draft, "09:00")?;
            let name = super::visit_name(&open.practice);
            let before = take::visit(&name, &open.visit, &quiet);
            let trial = take::visit(&name, &(open.visit.clone() + &lines), &quiet);
            // A reading that is not understood leaves the visit as it was.
            let reading = trial.readings.get(before.readings.len())?;
            let each = Minutes::of(&job_minutes(&open.practice));
            let cost = take::cost(house, &before, reading, &each, &quiet);
            cost.filter(|_| !quiet.borrow().has_errors()).map(|c| c.minutes)
        }
    }
}

fn switches(house: &House, setup: &engine::house::Setup, fan: bool, words: &Words) -> Vec<Value> {
    let one = |id: &str, label: String, choices: &[&str], now: &str| {
        let told = |w: &&str| json!({ "value": w, "label": crate::app::word(w, words) });
        json!({ "id": id, "label": label, "choices": choices.iter().map(told).collect::<Vec<_>>(), "now": now })
    };
    let mut out = Vec::new();
    if fan {
        use engine::doc::visit::Direction::{Depressurise, Pressurise};
        let now = match setup.test_fan {
            None => "off",
            Some(Depressurise) => "depressurise",
            Some(Pressurise) => "pressurise",
        };
        let label = words.say("practice-test-fan");
        out.push(one("test_fan", label, &["off", "depressurise", "pressurise"], now));
    }
    if house.air_handler.is_some() {
        let now = if setup.air_handler { "on" } else { "off" };
        out.push(one("air_handler", words.say("guide-handler"), &["off", "on"], now));
    }
    for (fan, runs) in house.fans.iter().zip(&setup.running) {
        out.push(one(
            &fan.text.name.value,
            fan.text.label.clone(),
            &["off", "on"],
            if *runs { "on" } else { "off" },
        ));
    }
    for (door, open) in house.doors.iter().zip(&setup.open) {
        if door.between.iter().all(|p| matches!(p, Place::Zone(_))) {
            let now = if *open { "open" } else { "shut" };
            out.push(one(&door.text.name.value, door.text.label.clone(), &["shut", "open"], now));
        }
    }
    out
}
