//! Rooms on the design days, as a view and as lines of a terminal.

use engine::house::House;
use engine::measure::Estimate;
use engine::plan::{self, RoomKnown};
use engine::units::Quantity;
use engine::year::Cause;
use report::view::{Number, RoomLine, RoomsDay};
use report::words::{Show, Words};

/// One view a day.
pub(crate) fn days(list: &[plan::RoomsDay], house: &House, words: &Words) -> Vec<RoomsDay> {
    let day = |d: &plan::RoomsDay| {
        let at = |k: f64| words.written(k, Quantity::Temperature);
        let key = if d.heats { "rooms-cold" } else { "rooms-hot" };
        RoomsDay {
            title: words.text(key, &[("out", at(d.outdoor_k).into()), ("in", at(d.indoor_k).into())]),
            note: words.say(if d.given { "rooms-given" } else { "rooms-from-weather" }),
            rooms: d.rooms.iter().map(|r| line(r, house, words)).collect(),
        }
    };
    list.iter().map(day).collect()
}

fn line(room: &RoomKnown, house: &House, words: &Words) -> RoomLine {
    let label = house.zones.iter().find(|z| z.name == room.name).map_or(&room.name, |z| &z.label);
    let has_register = room.delivered.si > 0.0;
    let why = room.cause.map(|(cause, _)| {
        words.say(match cause {
            _ if !has_register => "rooms-none-of-its-own",
            Cause::Flow => "rooms-share",
            Cause::Leakage => "rooms-ducts",
            Cause::Load | Cause::Enough => "rooms-load",
        })
    });
    RoomLine {
        label: label.clone(),
        needs: Number::computed(room.load),
        gets: has_register.then(|| Number::computed(room.delivered)),
        flow: room.flow.map(Number::computed),
        short_frac: room.short_chance,
        why,
    }
}

/// The rooms for a terminal.
pub(crate) fn lines(list: &[plan::RoomsDay], house: &House, words: &Words) -> String {
    let mut out = String::new();
    let shown = |e: &Estimate| words.estimate(e, Show::default());
    for day in days(list, house, words) {
        out += &format!("  {}\n", day.title);
        for r in &day.rooms {
            let mut args =
                vec![("room", r.label.as_str().into()), ("needs", shown(&r.needs.estimate).into())];
            let key = match (&r.gets, &r.why) {
                (None, _) => "rooms-line-none",
                (Some(_), Some(_)) => "rooms-line-short",
                (Some(_), None) => "rooms-line-enough",
            };
            if let Some(gets) = &r.gets {
                args.push(("gets", shown(&gets.estimate).into()));
                args.push(("chance", words.percent(r.short_frac).into()));
            }
            if let Some(why) = &r.why {
                args.push(("why", why.as_str().into()));
            }
            out += &format!("    {}\n", words.text(key, &args));
        }
        out += &format!("    {}\n", day.note);
    }
    if !out.is_empty() {
        out += &format!("  {}\n", words.say("rooms-caption"));
    }
    out
}
