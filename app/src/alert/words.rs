//! What an alert says, in plain words of the job's language.

use super::Message;
use engine::units::Quantity as Q;
use report::words::Words;

/// Name and version of the message's shape.
const SCHEMA: &str = "airwright/1 alert";

/// Kinds of news.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NewsKind {
    /// A source that sends nothing.
    Silence,
    /// A source that sends again.
    Heard,
    /// Carbon monoxide at or above a published level.
    CarbonMonoxide,
    /// A trace left what is expected of it.
    Change,
    /// A CO2 sensor reads below outdoor air.
    BelowOutdoors,
    /// A filter's forecast date has come.
    FilterDue,
    /// More ventilation is owed than a day of one excess exposure.
    Debt,
}

impl NewsKind {
    /// Its name in keys, catalogues and events.
    pub(crate) fn key(self) -> &'static str {
        match self {
            NewsKind::Silence => "silence",
            NewsKind::Heard => "heard",
            NewsKind::CarbonMonoxide => "carbon-monoxide",
            NewsKind::Change => "change",
            NewsKind::BelowOutdoors => "below-outdoors",
            NewsKind::FilterDue => "filter-due",
            NewsKind::Debt => "debt",
        }
    }
}

/// Something to tell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct News {
    /// What.
    pub(crate) kind: NewsKind,
    /// The name of the source or device.
    pub(crate) name: String,
    /// The same as people call it.
    pub(crate) of: String,
    /// Where.
    pub(crate) place: String,
    /// When, ms since 1970.
    pub(crate) time_ms: i64,
    /// The number that tells, SI.
    pub(crate) value: Option<(f64, Q)>,
    /// A published limit that was reached, SI, and its source.
    pub(crate) limit: Option<(f64, Q, String)>,
    /// How grave, where that is told in a sentence of its own: a key of the catalogue.
    pub(crate) grave: Option<&'static str>,
    /// Such alerts a month that are expected of a house where nothing is the matter, where chance is in them.
    pub(crate) false_a_month: Option<f64>,
    /// The likeliest causes with their shares, in words.
    pub(crate) causes: Vec<(f64, String)>,
    /// Whether readings that tell it came after their hour had been judged.
    pub(crate) late: bool,
}

impl News {
    /// Tells one alert from another, so that each is put into the outbox once.
    pub(crate) fn key(&self) -> String {
        format!("{} {} {} {}", self.kind.key(), self.name, self.time_ms, self.grave.unwrap_or(""))
    }
}

/// The message for a piece of news.
pub(crate) fn compose(news: &News, job: &str, zone: &jiff::tz::TimeZone, words: &Words) -> Message {
    let stamp = jiff::Timestamp::from_millisecond(news.time_ms).unwrap_or_default();
    let time = stamp.to_zoned_datetime(zone.clone()).strftime("%Y-%m-%d %H:%M %:z").to_string();
    let show = |(si, q): (f64, Q)| words.quantity(si, q);
    let value = news.value.map(show).unwrap_or_default();
    let (limit, source) = match &news.limit {
        Some((si, q, source)) => (show((*si, *q)), source.clone()),
        None => (String::new(), String::new()),
    };
    let args = [
        ("of", news.of.clone().into()),
        ("place", news.place.clone().into()),
        ("time", time.clone().into()),
        ("value", value.into()),
        ("limit", limit.into()),
        ("source", source.into()),
        ("job", job.into()),
    ];
    let kind = news.kind.key();
    let mut lines = vec![words.text(&format!("alert-{kind}"), &args)];
    lines.extend(news.limit.iter().map(|_| words.text("alert-limit", &args)));
    lines.extend(news.grave.map(|key| words.text(key, &args)));
    for (share, cause) in &news.causes {
        let args = [("share", words.percent(*share).into()), ("cause", cause.as_str().into())];
        lines.push(words.text("alert-cause", &args));
    }
    lines.extend(news.false_a_month.map(|n| words.text("watch-false", &[("count", n.into())])));
    if news.late {
        lines.push(words.say("alert-late"));
    }
    if news.kind == NewsKind::CarbonMonoxide {
        // Always, whatever else is said.
        lines.push(words.say("alert-carbon-monoxide-listed"));
    }
    lines.push(String::new());
    lines.push(words.text("alert-foot", &args));
    Message {
        schema: SCHEMA.to_owned(),
        kind: kind.to_owned(),
        job: job.to_owned(),
        of: news.name.clone(),
        time,
        value: news.value.map(|(si, _)| si),
        unit: news.value.map(|(_, q)| q.si_symbol().to_owned()),
        false_a_month: news.false_a_month,
        subject: words.text(&format!("alert-{kind}-subject"), &args),
        text: lines.join("\n"),
    }
}
