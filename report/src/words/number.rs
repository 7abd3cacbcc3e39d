//! Numbers as people read them: by locale, with a true minus, rounded by what is known.
//!
//! Rules (house look): two digits of the interval's half-width, never more than four digits, never
//! finer than a step that means something in the unit. Grouping from four digits on.

use super::Language;
use engine::math::{log10, max_valid, pow};
use engine::units::{Quantity, Unit};

/// Unicode minus.
pub const MINUS: char = '\u{2212}';
/// No-break space, between a number and its unit.
pub const NBSP: char = '\u{a0}';

/// Exponent of the leading digit: 2 for 291, -1 for 0.4. Zero where there is none.
fn exponent(x: f64) -> i32 {
    let x = x.abs();
    if !x.is_finite() || x <= 0.0 {
        return 0;
    }
    // A hair is added so that 1000, whose logarithm may fall just under 3, counts as 10^3.
    #[expect(clippy::cast_possible_truncation, reason = "|log10| of a finite f64 is below 400")]
    let e = (log10(x) + 1e-9).floor() as i32;
    e
}

/// The finest step worth showing in a unit, as decimals; instruments and models of the trade resolve
/// no more. Some units step coarser where the number is large. `None`: the unit sets no step.
/// Common practice, no source.
fn finest_decimals(unit: &Unit, largest: f64) -> Option<i32> {
    let coarse_from = |at: f64, coarse: i32, fine: i32| if largest >= at { coarse } else { fine };
    Some(match unit.symbol {
        "Pa" | "degF" | "degC" | "ft" | "pt/d" | "L/d" | "mph" | "m/s" | "ug/m3" | "h" | "gr/lb" => 1,
        "cfm" | "m3/h" | "ppm" | "ft2" | "ft3" | "m3" | "%" | "W" | "min" | "s" | "USD" | "CAD" | "EUR"
        | "GBP" | "hPa" | "Btu/h" | "therm" | "mm" | "fpm" => 0,
        "kWh" => coarse_from(100.0, -1, 0),
        "in2" | "m2" => coarse_from(10.0, 0, 1),
        "cm2" | "L/s" => coarse_from(20.0, 0, 1),
        // Air changes by a fan at 50 Pa, and air changes by weather.
        "1/h" => coarse_from(2.0, 1, 2),
        "m3/(h m2)" => 1,
        "cfm/ft2" => 3,
        "1" if unit.quantity == Quantity::Index => coarse_from(10.0, 0, 1),
        _ => return None,
    })
}

/// Decimals to show: two digits of `half_width`, at most four digits of the largest of `values`,
/// no finer than the unit's step. Negative: rounded to tens, hundreds.
pub(super) fn decimals(values: &[f64], half_width: f64, unit: &Unit) -> i32 {
    let largest = max_valid(values.iter().map(|v| v.abs())).unwrap_or(0.0);
    let by_digits = 3 - exponent(largest);
    let by_width = if half_width > 0.0 { 1 - exponent(half_width) } else { by_digits };
    by_width.min(by_digits).min(finest_decimals(unit, largest).unwrap_or(4))
}

/// Decimals of a computed number in a sentence: the unit's step, at most four digits; three digits
/// where the unit sets no step.
pub(super) fn decimals_about(value: f64, unit: &Unit) -> i32 {
    match finest_decimals(unit, value.abs()) {
        Some(finest) => finest.min(3 - exponent(value)),
        None => (2 - exponent(value)).clamp(-12, 12),
    }
}

/// Decimals for a number that stands without an interval: up to four digits, zeros at the end dropped.
pub(super) fn decimals_plain(value: f64, unit: &Unit) -> i32 {
    let most = (3 - exponent(value)).clamp(-12, 12);
    let most = if value.abs() >= 0.1 {
        most.min(finest_decimals(unit, value.abs()).map_or(4, |d| d.max(2)))
    } else {
        most
    };
    if most <= 0 {
        return most;
    }
    let text = format!("{:.*}", usize::try_from(most).unwrap_or(0), value);
    let zeros = text.chars().rev().take_while(|c| *c == '0').count();
    most - i32::try_from(zeros).unwrap_or(0)
}

/// Writes a number with so many decimals, in the manner of a language.
pub(super) fn write(value: f64, decimals: i32, signed: bool, language: Language) -> String {
    if !value.is_finite() {
        return "\u{2013}".to_owned();
    }
    let plain = if decimals >= 0 {
        format!("{:.*}", usize::try_from(decimals).unwrap_or(0), value.abs())
    } else {
        let step = pow(10.0, f64::from(-decimals));
        format!("{:.0}", (value.abs() / step).round() * step)
    };
    let zero = plain.chars().all(|c| c == '0' || c == '.');
    let (whole, part) = plain.split_once('.').unwrap_or((&plain, ""));
    let (group, point) = match language {
        Language::En => (',', '.'),
        Language::Es => ('.', ','),
    };
    let mut text = String::new();
    if value < 0.0 && !zero {
        text.push(MINUS);
    } else if signed && !zero {
        text.push('+');
    }
    let digits = whole.chars().count();
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (digits - i).is_multiple_of(3) {
            text.push(group);
        }
        text.push(c);
    }
    if !part.is_empty() {
        text.push(point);
        text.push_str(part);
    }
    text
}

/// A unit's symbol as it is printed: real superscripts, degree and micro signs.
pub(super) fn symbol(unit: &Unit) -> String {
    match unit.symbol {
        "1" => String::new(),
        "USD" => "$".to_owned(),
        "EUR" => "\u{20ac}".to_owned(),
        "GBP" => "\u{a3}".to_owned(),
        "m3/(h m2)" => "m\u{b3}/(h\u{b7}m\u{b2})".to_owned(),
        "ft2 h degF/Btu" => "ft\u{b2}\u{b7}h\u{b7}\u{b0}F/Btu".to_owned(),
        "m2 K/W" => "m\u{b2}\u{b7}K/W".to_owned(),
        "Btu/(h degF)" => "Btu/(h\u{b7}\u{b0}F)".to_owned(),
        "inH2O" => "inH\u{2082}O".to_owned(),
        other => {
            let other = other.replace("deg", "\u{b0}").replace("ug", "\u{b5}g");
            let other = if other == "\u{b0}" { "\u{b0}".to_owned() } else { other };
            let mut text = String::new();
            let mut before = ' ';
            for c in other.chars() {
                text.push(match c {
                    '2' if before.is_alphabetic() => '\u{b2}',
                    '3' if before.is_alphabetic() => '\u{b3}',
                    c => c,
                });
                before = c;
            }
            text.replace(' ', "\u{a0}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::units::{Quantity, unit};

    fn u(symbol: &str, quantity: Quantity) -> &'static Unit {
        unit(symbol, quantity).unwrap()
    }

    #[test]
    fn two_digits_of_the_half_width_and_at_most_four() {
        let ach = u("1/h", Quantity::AirChange);
        assert_eq!(decimals(&[12.97, 12.50, 13.45], 0.48, ach), 1);
        assert_eq!(decimals(&[0.42, 0.38, 0.47], 0.045, ach), 2);
        let n = u("1", Quantity::Number);
        assert_eq!(decimals(&[0.653, 0.637, 0.669], 0.016, n), 3);
        assert_eq!(decimals(&[12.345], 0.0012, n), 2);
        let cfm = u("cfm", Quantity::AirFlow);
        assert_eq!(decimals(&[2291.0], 44.0, cfm), 0);
        assert_eq!(decimals(&[26.3, 19.2, 37.1], 9.0, cfm), 0);
        assert_eq!(decimals(&[1230.0], 175.0, cfm), -1);
        assert_eq!(decimals(&[0.42], 0.1, cfm), 0, "never finer than 1 cfm");
        assert_eq!(decimals(&[23_456.0], 10.0, cfm), -1);
    }

    #[test]
    fn no_number_is_finer_than_its_unit_deserves() {
        let steps = [
            ("Pa", Quantity::Pressure, 0.040, 0.02, 1),
            ("ug/m3", Quantity::ParticleConcentration, 7.36, 0.07, 1),
            ("kWh", Quantity::Energy, 5770.0, 23.0, -1),
            ("in2", Quantity::Area, 126.8, 6.2, 0),
            ("in2", Quantity::Area, 2.8, 0.4, 1),
            ("cfm/ft2", Quantity::Permeability, 0.5961, 0.0021, 3),
        ];
        for (symbol, quantity, value, half, want) in steps {
            assert_eq!(decimals(&[value], half, u(symbol, quantity)), want, "{symbol}");
        }
        assert_eq!(decimals_about(112.7, u("cfm", Quantity::AirFlow)), 0);
        assert_eq!(decimals_about(7.738, u("Pa", Quantity::Pressure)), 1);
        assert_eq!(decimals_about(23_456.0, u("cfm", Quantity::AirFlow)), -1);
        assert_eq!(decimals_about(0.6533, u("1", Quantity::Number)), 3);
    }

    #[test]
    fn each_language_has_its_marks() {
        assert_eq!(write(2291.0, 0, false, Language::En), "2,291");
        assert_eq!(write(2291.0, 0, false, Language::Es), "2.291");
        assert_eq!(write(0.67, 2, false, Language::Es), "0,67");
        assert_eq!(write(-1.42, 1, true, Language::En), "\u{2212}1.4");
        assert_eq!(write(3.2, 1, true, Language::En), "+3.2");
        assert_eq!(write(-0.04, 1, true, Language::En), "0.0");
        assert_eq!(write(1_234_567.0, -3, false, Language::En), "1,235,000");
        assert_eq!(write(f64::NAN, 2, false, Language::En), "\u{2013}");
    }

    #[test]
    fn plain_numbers_drop_zeros() {
        let ft3 = u("ft3", Quantity::Volume);
        assert_eq!(decimals_plain(9600.0, ft3), 0);
        let pa = u("Pa", Quantity::Pressure);
        assert_eq!(decimals_plain(-1.4, pa), 1);
        assert_eq!(decimals_plain(50.0, pa), 0);
        assert_eq!(decimals_plain(0.25, pa), 2);
        assert_eq!(decimals_plain(0.651, u("1", Quantity::Number)), 3);
    }

    #[test]
    fn symbols_are_printed_as_people_write_them() {
        assert_eq!(symbol(u("in2", Quantity::Area)), "in\u{b2}");
        assert_eq!(symbol(u("degF", Quantity::Temperature)), "\u{b0}F");
        assert_eq!(symbol(u("ug/m3", Quantity::ParticleConcentration)), "\u{b5}g/m\u{b3}");
        assert_eq!(symbol(u("cfm/100 ft2", Quantity::Permeability)), "cfm/100\u{a0}ft\u{b2}");
    }
}
