//! Unencrypted BTHome v2 payloads, as gateways forward them: hexadecimal digits of the service data.
//!
//! The format is open. Object ids that were read in an open text are marked; the others, the layout
//! of the first byte and the UUID are from memory.

use super::message::{Channels, Row};
use super::reject::{Reason, Rejects};
use engine::units::{Quantity as Q, unit};

/// Longest payload in bytes; an advertisement holds fewer, extended ones 255.
const LONGEST: usize = 255;

/// How an object is laid out and what it means.
struct Object {
    id: u8,
    bytes: usize,
    signed: bool,
    factor: f64,
    /// Name, quantity and unit; nothing where it is no reading.
    means: Option<(&'static str, Q, &'static str)>,
}

const fn value(
    id: u8,
    bytes: usize,
    signed: bool,
    factor: f64,
    name: &'static str,
    quantity: Q,
    unit: &'static str,
) -> Object {
    Object { id, bytes, signed, factor, means: Some((name, quantity, unit)) }
}

const fn other(id: u8, bytes: usize) -> Object {
    Object { id, bytes, signed: false, factor: 1.0, means: None }
}

const OBJECTS: &[Object] = &[
    // Read in an open text.
    value(0x02, 2, true, 0.01, "temperature", Q::Temperature, "degC"),
    value(0x45, 2, true, 0.1, "temperature", Q::Temperature, "degC"),
    value(0x03, 2, false, 0.01, "rh", Q::Fraction, "%"),
    value(0x2e, 1, false, 1.0, "rh", Q::Fraction, "%"),
    value(0x04, 3, false, 0.01, "pressure", Q::Pressure, "hPa"),
    value(0x08, 2, true, 0.01, "dew_point", Q::Temperature, "degC"),
    value(0x0b, 3, false, 0.01, "power", Q::Power, "W"),
    value(0x0d, 2, false, 1.0, "pm25", Q::ParticleConcentration, "ug/m3"),
    value(0x12, 2, false, 1.0, "co2", Q::GasFraction, "ppm"),
    value(0x14, 2, false, 0.01, "moisture", Q::Fraction, "%"),
    value(0x44, 2, false, 0.01, "speed", Q::Speed, "m/s"),
    value(0x49, 2, false, 0.001, "flow", Q::AirFlow, "m3/h"),
    value(0x5c, 4, true, 0.01, "power", Q::Power, "W"),
    other(0x61, 2),
    // From memory.
    other(0x00, 1),
    value(0x01, 1, false, 1.0, "battery", Q::Fraction, "%"),
    value(0x05, 3, false, 0.01, "illuminance_lux", Q::Number, "1"),
    value(0x06, 2, false, 0.01, "mass", Q::Mass, "kg"),
    value(0x07, 2, false, 0.01, "mass", Q::Mass, "lb"),
    other(0x09, 1),
    value(0x0a, 3, false, 0.001, "energy", Q::Energy, "kWh"),
    other(0x0c, 2),
    value(0x0e, 2, false, 1.0, "pm10", Q::ParticleConcentration, "ug/m3"),
    value(0x13, 2, false, 1.0, "tvoc", Q::ParticleConcentration, "ug/m3"),
    value(0x2f, 1, false, 1.0, "moisture", Q::Fraction, "%"),
    other(0x3a, 1),
    other(0x3c, 2),
    other(0x3d, 2),
    other(0x3e, 4),
    other(0x3f, 2),
    value(0x40, 2, false, 1.0, "distance", Q::Length, "mm"),
    value(0x41, 2, false, 0.1, "distance", Q::Length, "m"),
    value(0x42, 3, false, 0.001, "duration", Q::Time, "s"),
    other(0x43, 2),
    other(0x46, 1),
    value(0x47, 2, false, 0.1, "volume", Q::Volume, "L"),
    value(0x48, 2, false, 0.001, "volume", Q::Volume, "L"),
    other(0x4a, 2),
    value(0x4b, 3, false, 0.001, "gas", Q::Volume, "m3"),
    value(0x4c, 4, false, 0.001, "gas", Q::Volume, "m3"),
    value(0x4d, 4, false, 0.001, "energy", Q::Energy, "kWh"),
    value(0x4e, 4, false, 0.001, "volume", Q::Volume, "L"),
    value(0x4f, 4, false, 0.001, "water", Q::Volume, "L"),
    other(0x50, 4),
    other(0x51, 2),
    other(0x52, 2),
    other(0x55, 4),
    other(0x56, 2),
    value(0x57, 1, true, 1.0, "temperature", Q::Temperature, "degC"),
    value(0x58, 1, true, 0.35, "temperature", Q::Temperature, "degC"),
    other(0x59, 1),
    other(0x5a, 2),
    other(0x5b, 4),
    other(0x5d, 2),
    value(0x5e, 2, false, 0.01, "direction", Q::Angle, "deg"),
    value(0x5f, 2, false, 0.1, "precipitation", Q::Length, "mm"),
    other(0x60, 1),
];
/// Time of the device, s since 1970 UTC.
const TIMESTAMP: u8 = 0x50;
/// A text or raw bytes, with their length before them.
const WITH_LENGTH: [u8; 2] = [0x53, 0x54];

/// Ids `0x0f` to `0x11` and `0x15` to `0x2d` are flags of one byte: door, window, motion and the like.
fn flag(id: u8) -> bool {
    matches!(id, 0x0f..=0x11 | 0x15..=0x2d)
}

fn bytes_of(hex: &str) -> Option<Vec<u8>> {
    let hex = hex.trim();
    let hex = hex.strip_prefix("0x").unwrap_or(hex);
    if hex.len() > 3 * LONGEST + 4 {
        return None;
    }
    let digits: Option<Vec<u8>> = hex
        .chars()
        .filter(|c| !matches!(c, ' ' | ':' | '-'))
        .map(|c| c.to_digit(16).and_then(|d| u8::try_from(d).ok()))
        .collect();
    let digits = digits?;
    if digits.len() % 2 == 1 || digits.len() < 2 {
        return None;
    }
    let bytes: Vec<u8> = digits.chunks(2).map(|p| p[0] * 16 + p[1]).collect();
    // The UUID may stand before, either way round.
    let rest = bytes.strip_prefix(&[0xd2, 0xfc]).or_else(|| bytes.strip_prefix(&[0xfc, 0xd2]));
    Some(rest.map_or(bytes.clone(), <[u8]>::to_vec))
}

/// Whether a text is a payload: version 2, and readable to its end or encrypted.
pub fn is_payload(hex: &str) -> bool {
    let Some(bytes) = bytes_of(hex) else { return false };
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let rows = decode(&bytes, "", 0, 0, &mut channels, &mut rejects);
    bytes.first().is_some_and(|b| b >> 5 == 2)
        && (rejects.counts.contains_key(&Reason::Encrypted) || (rejects.total() == 0 && !rows.is_empty()))
}

/// Rows of a payload in hexadecimal digits. `device` comes before each name, `time_ms` is when it
/// arrived; a time of the device's own counts more.
pub fn rows(
    hex: &str,
    device: &str,
    time_ms: i64,
    line: usize,
    channels: &mut Channels,
    rejects: &mut Rejects,
) -> Vec<Row> {
    match bytes_of(hex) {
        Some(bytes) => decode(&bytes, device, time_ms, line, channels, rejects),
        None => {
            rejects.push(line, Reason::BtHome, device, hex);
            Vec::new()
        }
    }
}

fn decode(
    bytes: &[u8],
    device: &str,
    arrived_ms: i64,
    line: usize,
    channels: &mut Channels,
    rejects: &mut Rejects,
) -> Vec<Row> {
    let Some((info, mut rest)) = bytes.split_first() else { return Vec::new() };
    // Bit 0 encryption, bit 2 sent by a trigger, bits 5 to 7 the version.
    if info >> 5 != 2 || bytes.len() > LONGEST {
        rejects.push(line, Reason::BtHome, device, &format!("{info:02x}"));
        return Vec::new();
    }
    if info & 1 == 1 {
        rejects.push(line, Reason::Encrypted, device, &format!("{info:02x}"));
        return Vec::new();
    }
    let mut found: Vec<(String, &'static engine::units::Unit, f64)> = Vec::new();
    let mut time_ms = arrived_ms;
    while let Some((id, after)) = rest.split_first() {
        let object = OBJECTS.iter().find(|o| o.id == *id);
        let (skip, length) = match object {
            Some(o) => (0, o.bytes),
            None if flag(*id) => (0, 1),
            None if WITH_LENGTH.contains(id) => (1, after.first().map_or(0, |n| usize::from(*n))),
            None => {
                // Its length is unknown, so what follows cannot be told; what came before stands.
                rejects.push(line, Reason::BtHome, device, &format!("{id:02x}"));
                break;
            }
        };
        let Some(data) = after.get(skip..skip + length) else {
            rejects.push(line, Reason::BtHome, device, &format!("{id:02x}"));
            break;
        };
        rest = after.get(skip + length..).unwrap_or(&[]);
        // Least significant byte first. Numbers have four bytes at most; texts are not summed.
        let raw = data.iter().take(4).rev().fold(0_i64, |sum, b| sum * 256 + i64::from(*b));
        if *id == TIMESTAMP {
            time_ms = raw * 1000;
        }
        let Some(o) = object else { continue };
        let Some((name, quantity, symbol)) = o.means else { continue };
        let Some(unit) = unit(symbol, quantity) else { continue };
        let bits = 8 * u32::try_from(o.bytes).unwrap_or(8);
        let raw = if o.signed && raw >= 1 << (bits - 1) { raw - (1 << bits) } else { raw };
        // The second of a kind, as a device with two probes sends it, gets a number.
        let same = found.iter().filter(|(n, _, _)| n.split('#').next() == Some(name)).count();
        let name = if same == 0 { name.to_owned() } else { format!("{name}#{}", same + 1) };
        found.push((name, unit, raw as f64 * o.factor));
    }
    let mut out = Vec::new();
    for (name, unit, value) in found {
        let name = if device.is_empty() { name } else { format!("{device}/{name}") };
        out.extend(channels.row(&name, unit, time_ms, value, (line, &mut *rejects)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(hex: &str) -> (Vec<(String, f64)>, Rejects) {
        let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
        let rows = rows(hex, "", 5, 1, &mut channels, &mut rejects);
        let list = rows.iter().map(|r| {
            let c = &channels.list[r.channel];
            (c.name.clone(), c.unit.from_si(r.value))
        });
        (list.collect(), rejects)
    }

    fn near(list: &[(String, f64)], wanted: &[(&str, f64)]) {
        assert_eq!(list.len(), wanted.len(), "{list:?}");
        for ((name, value), (n, v)) in list.iter().zip(wanted) {
            assert!(name == n && (value - v).abs() < 1e-9, "{name} {value}, wanted {n} {v}");
        }
    }

    #[test]
    fn payloads_by_hand() {
        // From memory: 0x09c4 = 2500 is 25.00 degC, 0x13bf = 5055 is 50.55 %.
        near(&read("4002c40903bf13").0, &[("temperature", 25.0), ("rh", 50.55)]);
        near(&read("d2fc40 02 c4 09").0, &[("temperature", 25.0)]);
        // A negative one, CO2, both particles, pressure, battery, illuminance, TVOC.
        near(&read("400218fc").0, &[("temperature", -10.0)]);
        near(&read("4012e204 0d120c 0e021c").0, &[("co2", 1250.0), ("pm25", 3090.0), ("pm10", 7170.0)]);
        near(
            &read("40 04138a01 0161 05138a14 133301").0,
            &[("pressure", 1008.83), ("battery", 97.0), ("illuminance_lux", 13_460.67), ("tvoc", 307.0)],
        );
        // Two probes, a door, a packet number.
        near(&read("40 0001 2d01 451101 451201").0, &[("temperature", 27.3), ("temperature#2", 27.4)]);
    }

    #[test]
    fn what_cannot_be_read_is_told() {
        assert_eq!(read("4102c409").1.counts[&Reason::Encrypted], 1);
        for bad in ["", "4", "zz", "2002c409", "4002c4", "40ff01"] {
            let (list, rejects) = read(bad);
            assert!(list.is_empty() && rejects.counts[&Reason::BtHome] == 1, "{bad}");
        }
        let (list, rejects) = read("4002c409ee01");
        assert_eq!((list.len(), rejects.total()), (1, 1));
        assert!(
            is_payload("4002c409") && is_payload("4100") && !is_payload("abcd") && !is_payload("1234567890")
        );
    }
}
