//! Quantities and estimates as text: value, unit, range, or why there is none.

use super::number::{self, NBSP};
use super::{Language, Words};
use engine::diag::Arg;
use engine::measure::{Estimate, Interval, NoInterval};
use engine::units::{Quantity, System, Unit, unit};
use serde::{Deserialize, Serialize};

/// What a number is used for, where the trade shows it in another unit than its quantity's usual.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Usage {
    /// The quantity's usual unit.
    #[default]
    Usual,
    /// Flow of an envelope or duct test: cfm, or m3/h.
    TestFlow,
    /// Leakage area: in2, or cm2.
    LeakageArea,
    /// A stretch of time that people count in hours.
    Hours,
    /// A stretch of time counted in seconds.
    Seconds,
    /// Energy of a fuel: therm in the United States, kWh elsewhere.
    FuelEnergy,
    /// Small lengths: in, or mm.
    SmallLength,
    /// Pressure of the air outside: inHg, or hPa.
    Barometer,
}

/// How to show a number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Show {
    usage: Usage,
    unit: Option<&'static str>,
    signed: bool,
}

impl Show {
    /// As the trade shows it for this use.
    pub fn usage(usage: Usage) -> Show {
        Show { usage, ..Show::default() }
    }

    /// In this unit, whatever the system; an unknown spelling is passed over.
    pub fn unit(symbol: &'static str) -> Show {
        Show { unit: Some(symbol), ..Show::default() }
    }

    /// With its sign always shown: pressures between zones, differences.
    #[must_use]
    pub fn signed(self) -> Show {
        Show { signed: true, ..self }
    }
}

/// A number and its unit, apart, so that a page may set them apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Digits, grouped, with sign; a currency sign that leads is part of it.
    pub number: String,
    /// The unit as printed; empty for pure numbers and leading currency signs.
    pub unit: String,
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.number)?;
        if self.unit.is_empty() { Ok(()) } else { write!(f, "{NBSP}{}", self.unit) }
    }
}

/// An estimate taken apart for a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownRange {
    /// The value with its unit.
    pub value: Shown,
    /// Low and high end, without unit; none where both round to the same figure.
    pub ends: Option<(String, String)>,
    /// `90 %`, where there is a range.
    pub level: Option<String>,
    /// Why there is no range, where there is none.
    pub reason: Option<String>,
}

impl Words {
    /// The unit a number is shown in.
    pub fn unit_for(&self, quantity: Quantity, show: Show) -> &'static Unit {
        let pick = |si, ip| match self.system() {
            System::Si => si,
            System::Ip => ip,
        };
        let wanted = show.unit.or(match show.usage {
            Usage::Usual => None,
            Usage::TestFlow => Some(pick("m3/h", "cfm")),
            Usage::LeakageArea => Some(pick("cm2", "in2")),
            Usage::Hours => Some("h"),
            Usage::Seconds => Some("s"),
            Usage::FuelEnergy => Some(pick("kWh", "therm")),
            Usage::SmallLength => Some(pick("mm", "in")),
            Usage::Barometer => Some(pick("hPa", "inHg")),
        });
        wanted.and_then(|w| unit(w, quantity)).unwrap_or_else(|| self.unit_of(quantity))
    }

    /// The printed symbol of the unit a number is shown in; empty for pure numbers.
    pub fn unit_symbol(&self, quantity: Quantity, show: Show) -> String {
        number::symbol(self.unit_for(quantity, show))
    }

    /// A pure number with at most so many decimals that four digits are shown.
    pub fn number(&self, value: f64) -> String {
        let unit = Quantity::Number.display_unit(System::Si);
        number::write(value, number::decimals_plain(value, unit), false, self.language())
    }

    /// A pure number with exactly so many decimals.
    pub fn fixed(&self, value: f64, decimals: i32) -> String {
        number::write(value, decimals, false, self.language())
    }

    /// A quantity with its unit, up to four digits.
    pub fn quantity(&self, si: f64, quantity: Quantity) -> String {
        self.shown(si, quantity, Show::default()).to_string()
    }

    /// A quantity shown in a given way, up to four digits.
    pub fn quantity_as(&self, si: f64, quantity: Quantity, show: Show) -> String {
        self.shown(si, quantity, show).to_string()
    }

    /// A computed quantity in a sentence, rounded to the finest step that means something in its
    /// unit (1 cfm, 0.1 Pa, 1 ppm), at most four digits: `113 cfm`.
    pub fn about(&self, si: f64, quantity: Quantity, show: Show) -> String {
        self.shown_about(si, quantity, show).to_string()
    }

    /// The same, taken apart.
    pub fn shown_about(&self, si: f64, quantity: Quantity, show: Show) -> Shown {
        let unit = self.unit_for(quantity, show);
        let value = unit.from_si(si);
        self.dress(value, number::decimals_about(value, unit), unit, show)
    }

    /// A quantity that somebody wrote, in a sentence: without the decimals that are naught, since it was
    /// written without them (`50 °F`, and not `50.0 °F`).
    pub fn written(&self, si: f64, quantity: Quantity) -> String {
        let mut shown = self.shown_about(si, quantity, Show::default());
        if let Some((whole, decimals)) = shown.number.split_once(['.', ','])
            && decimals.chars().all(|c| c == '0')
            && decimals.len() < 3
        {
            shown.number = whole.to_owned();
        }
        shown.to_string()
    }

    /// A quantity taken apart.
    pub fn shown(&self, si: f64, quantity: Quantity, show: Show) -> Shown {
        let unit = self.unit_for(quantity, show);
        let value = unit.from_si(si);
        self.dress(value, number::decimals_plain(value, unit), unit, show)
    }

    /// The digits of a value in a fixed number of decimals, with its unit's dress.
    fn dress(&self, value: f64, decimals: i32, unit: &Unit, show: Show) -> Shown {
        let digits = number::write(value, decimals, show.signed, self.language());
        if !value.is_finite() {
            // No value: a dash alone, with no unit to it.
            return Shown { number: digits, unit: String::new() };
        }
        let leading = match unit.symbol {
            "USD" => Some('$'),
            "GBP" => Some('\u{a3}'),
            "EUR" if self.language() == Language::En => Some('\u{20ac}'),
            _ => None,
        };
        match leading {
            Some(sign) => {
                let at = digits.chars().take_while(|c| !c.is_ascii_digit()).map(char::len_utf8).sum();
                let (before, after) = digits.split_at(at);
                Shown { number: format!("{before}{sign}{after}"), unit: String::new() }
            }
            None if unit.symbol == "EUR" => Shown { number: digits, unit: "\u{20ac}".to_owned() },
            None => Shown { number: digits, unit: number::symbol(unit) },
        }
    }

    /// An estimate taken apart: value, ends, level, or the reason for none.
    pub fn shown_estimate(&self, estimate: &Estimate, show: Show) -> ShownRange {
        let unit = self.unit_for(estimate.quantity, show);
        let value = unit.from_si(estimate.si);
        match estimate.interval {
            Interval::Range { lo, hi, level } if lo.is_finite() && hi.is_finite() => {
                let (lo, hi) = (unit.from_si(lo), unit.from_si(hi));
                let decimals = number::decimals(&[value, lo, hi], (hi - lo) / 2.0, unit);
                let end = |x: f64| self.dress(x, decimals, unit, show).number;
                let (lo, hi) = (end(lo), end(hi));
                ShownRange {
                    value: self.dress(value, decimals, unit, show),
                    // Narrower than the step: the value alone says all there is to see.
                    ends: (lo != hi).then_some((lo, hi)),
                    level: Some(self.percent(level)),
                    reason: None,
                }
            }
            Interval::Range { .. } => self.without(value, unit, show, NoInterval::NotComputed),
            Interval::None(why) => self.without(value, unit, show, why),
        }
    }

    fn without(&self, value: f64, unit: &Unit, show: Show, why: NoInterval) -> ShownRange {
        let value = self.dress(value, number::decimals_plain(value, unit), unit, show);
        // A guide claims nothing that an interval would have to bound.
        let reason = (why != NoInterval::Guide).then(|| self.no_interval(why));
        ShownRange { value, ends: None, level: None, reason }
    }

    /// Why a number has no interval.
    pub fn no_interval(&self, why: NoInterval) -> String {
        match why {
            NoInterval::TypedWithoutInstrument => self.say("no-interval-typed"),
            NoInterval::Assumed => self.say("no-interval-assumed"),
            NoInterval::TooFewPoints => self.say("no-interval-few"),
            NoInterval::Exact => self.say("no-interval-exact"),
            NoInterval::NotComputed => self.say("no-interval-not-computed"),
            NoInterval::Guide => String::new(),
            NoInterval::NotDefined => self.say("no-interval-not-defined"),
            NoInterval::DataCannotTell => self.say("no-interval-cannot-tell"),
        }
    }

    /// A share as per cent: `90 %`.
    pub fn percent(&self, share: f64) -> String {
        format!("{}{NBSP}%", number::write(share * 100.0, 0, false, self.language()))
    }

    /// A whole sentence part: `26 cfm, 90 % range 19 to 37`, or the value and why it has no range.
    pub fn estimate(&self, estimate: &Estimate, show: Show) -> String {
        let shown = self.shown_estimate(estimate, show);
        let value = shown.value.to_string();
        match (shown.ends, shown.level, shown.reason) {
            (Some((lo, hi)), Some(level), _) => self.text(
                "estimate-range",
                &[("value", value.into()), ("level", level.into()), ("lo", lo.into()), ("hi", hi.into())],
            ),
            (_, _, Some(reason)) => {
                self.text("estimate-no-range", &[("value", value.into()), ("reason", reason.into())])
            }
            _ => value,
        }
    }

    /// Value and range for a row of text where the level was said before: `26 cfm (19 to 37)`.
    pub fn estimate_short(&self, estimate: &Estimate, show: Show) -> String {
        let shown = self.shown_estimate(estimate, show);
        match shown.ends {
            Some((lo, hi)) => format!("{} ({})", shown.value, self.from_to(&lo, &hi)),
            None => shown.value.to_string(),
        }
    }

    /// `19 to 37`.
    pub fn from_to(&self, lo: &str, hi: &str) -> String {
        self.text("from-to", &[("lo", Arg::from(lo)), ("hi", Arg::from(hi))])
    }

    /// The range alone with its unit: `19 to 37 cfm`; the value where there is no range.
    pub fn range(&self, estimate: &Estimate, show: Show) -> String {
        let shown = self.shown_estimate(estimate, show);
        match shown.ends {
            Some((lo, hi)) => {
                format!("{}{NBSP}{}", self.from_to(&lo, &hi), self.unit_symbol(estimate.quantity, show))
            }
            None => shown.value.to_string(),
        }
    }

    /// The range alone for a tight table: `19–37`, or with words where an end is negative; empty where
    /// it is narrower than the unit's step, a dash where there is none.
    pub fn range_tight(&self, estimate: &Estimate, show: Show) -> String {
        match self.shown_estimate(estimate, show).ends {
            Some((lo, hi))
                if lo.contains(number::MINUS) || hi.contains(number::MINUS) || lo.contains('+') =>
            {
                self.from_to(&lo, &hi)
            }
            Some((lo, hi)) => format!("{lo}\u{2013}{hi}"),
            None if estimate.bounds().is_some() => String::new(),
            None => "\u{2013}".to_owned(),
        }
    }
}
