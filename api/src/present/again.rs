//! What to take again before the instruments are packed.

use super::phrase;
use crate::Job;
use engine::fit::Fit;
use engine::fit::again::{Again, Why};
use engine::fit::observe::Seen;
use engine::house::House;
use engine::next::Moment;
use report::words::{Show, Words};

/// Readings and doors named in one sentence, and numbers that hang on them.
const MOST_NAMED: usize = 6;
const MOST_MOVED: usize = 3;
/// Readings by which the setup of a door is known again.
const MOST_OF_SETUP: usize = 2;

/// A sentence for each reason, the most urgent first; what safety forbids now is counted, not named.
pub(crate) fn sentences(job: &Job, fit: &Fit, words: &Words) -> Vec<String> {
    let Some(house) = job.house.as_ref().filter(|_| !fit.again.is_empty()) else { return Vec::new() };
    let moment = job.moment(house, None);
    let (barred, open): (Vec<&Again>, Vec<&Again>) =
        fit.again.iter().partition(|a| is_barred(job, house, &moment, a));
    let mut out = Vec::new();
    for (why, key) in [
        (Why::TakenBack, "again-taken-back"),
        (Why::Doubt, "again-doubt"),
        (Why::Unchecked, "again-unchecked"),
    ] {
        let of: Vec<&Again> = open.iter().copied().filter(|a| a.why == why).collect();
        let things: Vec<String> = of.iter().flat_map(|a| named(job, fit, a, words)).collect();
        let mut moved: Vec<&str> = Vec::new();
        for name in of.iter().filter_map(|a| Some(a.moves.as_ref()?.what.as_str())) {
            if !moved.contains(&name) && moved.len() < MOST_MOVED {
                moved.push(name);
            }
        }
        if things.is_empty() {
            continue;
        }
        let (shown, more) = things.split_at(things.len().min(MOST_NAMED));
        let args = [
            ("list", shown.join("; ").into()),
            ("more", more.len().into()),
            ("moved", moved.join(", ").into()),
        ];
        out.push(words.text(key, &args));
    }
    if !barred.is_empty() {
        out.push(words.text("again-held", &[("count", barred.len().into())]));
    }
    out
}

/// The sentences for a terminal.
pub(crate) fn lines(job: &Job, fit: &Fit, words: &Words) -> String {
    sentences(job, fit, words).into_iter().map(|s| format!("  {s}\n")).collect()
}

/// Whether safety forbids setting this up now.
fn is_barred(job: &Job, house: &House, moment: &Moment, again: &Again) -> bool {
    let station = &job.observations.stations[again.station];
    let taps = job.observations.list.iter().filter(|o| o.station == again.station);
    let taps = taps.filter_map(|o| match o.seen {
        Seen::Pressure { feels, against } => Some([feels.zone, against.zone]),
        _ => None,
    });
    let taps: Vec<usize> = taps.flatten().flatten().collect();
    moment.bars(house, &station.setup, &taps)
}

fn named(job: &Job, fit: &Fit, again: &Again, words: &Words) -> Vec<String> {
    let reading = |at: usize| fit.readings.get(at).map(|r| phrase::reading(&r.what, words));
    let mut out: Vec<String> = Vec::new();
    for look in &again.doors {
        let own =
            (0..job.observations.list.len()).filter(|i| job.observations.list[*i].station == again.station);
        let with: Vec<String> = own.filter_map(reading).take(MOST_OF_SETUP).collect();
        let args = [
            ("door", look.door.as_str().into()),
            ("open", if look.open { "yes" } else { "no" }.into()),
            ("with", with.join(", ").into()),
        ];
        out.push(words.text("again-door", &args));
    }
    for r in again.readings.iter().filter_map(|at| fit.readings.get(*at)) {
        let args = [
            ("reading", phrase::reading(&r.what, words).into()),
            ("shown", words.about(r.shown.si, r.shown.quantity, Show::default()).into()),
        ];
        out.push(words.text("again-reading", &args));
    }
    out
}
