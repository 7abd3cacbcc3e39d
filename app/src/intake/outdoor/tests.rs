//! Recorded answers, written from memory of the public formats, served on loopback.

use super::*;
use crate::intake::channel;
use engine::diag::Span;
use engine::doc::Sp;
use std::io::{Read, Write};
use std::net::TcpListener;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A server of fixed answers; counts what was asked.
struct Recorded {
    address: String,
    asked: Arc<AtomicUsize>,
}

fn serve(answers: impl Fn(&str, &str) -> Option<String> + Send + 'static) -> Recorded {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let (asked, own) = (Arc::new(AtomicUsize::new(0)), address.clone());
    let count = Arc::clone(&asked);
    std::thread::spawn(move || {
        for socket in listener.incoming() {
            let mut socket = socket.unwrap();
            let mut bytes = Vec::new();
            let mut part = [0; 1024];
            while !bytes.windows(4).any(|w| w == b"\r\n\r\n") {
                match socket.read(&mut part) {
                    Ok(n) if n > 0 => bytes.extend_from_slice(&part[..n]),
                    _ => break,
                }
            }
            count.fetch_add(1, Ordering::Relaxed);
            let head = String::from_utf8_lossy(&bytes).into_owned();
            assert!(
                head.to_lowercase().contains("owner@example.org"),
                "the agency can write to the user: {head}"
            );
            let path = head.split(' ').nth(1).unwrap_or("");
            let (status, body) = match answers(&own, path) {
                Some(body) => ("200 OK", body),
                None => ("404 Not Found", String::new()),
            };
            let head =
                format!("HTTP/1.1 {status}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n", body.len());
            socket.write_all(head.as_bytes()).and_then(|()| socket.write_all(body.as_bytes())).ok();
        }
    });
    Recorded { address, asked }
}

fn sp(text: &str) -> Sp<String> {
    Sp { value: text.to_owned(), span: Span::new("watch.toml", 0..0) }
}

fn at(address: &str) -> Outdoor {
    Outdoor {
        latitude_deg: 39.96,
        longitude_deg: -82.99,
        weather: true,
        particles: true,
        contact: sp("owner@example.org"),
        weather_at: Some(sp(address)),
        particles_at: Some(sp(address)),
        within_m: 50_000.0,
    }
}

fn recorded(own: &str, path: &str) -> Option<String> {
    match path {
        "/points/39.9600,-82.9900" => Some(format!(
            r#"{{"properties":{{"gridId":"ABC","observationStations":"{own}/gridpoints/ABC/1,2/stations"}}}}"#
        )),
        // The second is nearer, the third too far.
        "/gridpoints/ABC/1,2/stations" => Some(
            r#"{"features":[
            {"geometry":{"type":"Point","coordinates":[-83.2,39.8]},"properties":{"stationIdentifier":"KAAA"}},
            {"geometry":{"type":"Point","coordinates":[-82.88,39.99]},"properties":{"stationIdentifier":"KBBB"}},
            {"geometry":{"type":"Point","coordinates":[-85.0,41.0]},"properties":{"stationIdentifier":"KCCC"}}]}"#
                .to_owned(),
        ),
        "/stations/KBBB/observations/latest" => Some(
            r#"{"properties":{"timestamp":"2026-11-25T21:51:00+00:00",
            "temperature":{"unitCode":"wmoUnit:degC","value":3.9,"qualityControl":"V"},
            "dewpoint":{"unitCode":"wmoUnit:degC","value":-1.1,"qualityControl":"V"},
            "windDirection":{"unitCode":"wmoUnit:degree_(angle)","value":270,"qualityControl":"V"},
            "windSpeed":{"unitCode":"wmoUnit:km_h-1","value":18,"qualityControl":"V"},
            "barometricPressure":{"unitCode":"wmoUnit:Pa","value":101490,"qualityControl":"V"},
            "relativeHumidity":{"unitCode":"wmoUnit:percent","value":null,"qualityControl":"Z"}}}"#
                .to_owned(),
        ),
        "/2026/20261125/HourlyAQObs_2026112521.dat" => Some(
            "\"AQSID\",\"SiteName\",\"Status\",\"EPARegion\",\"Latitude\",\"Longitude\",\"ValidDate\",\"ValidTime\",\"PM25\",\"PM25_Unit\"\r\n\
             \"1\",\"Far, away\",\"Active\",\"R5\",\"41.5\",\"-81.7\",\"11/25/2026\",\"21:00\",\"30.0\",\"UG/M3\"\r\n\
             \"2\",\"Nearest, without\",\"Active\",\"R5\",\"39.961\",\"-82.99\",\"11/25/2026\",\"21:00\",\"\",\"\"\r\n\
             \"3\",\"Near \"\"Park\"\"\",\"Active\",\"R5\",\"40.0\",\"-83.0\",\"11/25/2026\",\"21:00\",\"9.4\",\"UG/M3\"\r\n"
                .to_owned(),
        ),
        _ => None,
    }
}

/// 2026-11-25 22:10 UTC.
const NOW_MS: i64 = 1_795_644_600_000;

fn folder(name: &str) -> std::path::PathBuf {
    let path = std::env::temp_dir().join(format!("airwright outdoor {} {name}", std::process::id()));
    std::fs::remove_dir_all(&path).ok();
    path
}

#[test]
fn weather_of_the_nearest_station_and_particles_of_the_nearest_monitor() {
    assert_eq!("2026-11-25T22:10:00Z".parse::<jiff::Timestamp>().unwrap().as_millisecond(), NOW_MS);
    let server = serve(recorded);
    let out = folder("a");
    let list = agencies(&at(&server.address), &out);
    let weather = list[0].latest(NOW_MS).unwrap();
    let found = read("weather", &weather).unwrap();
    let value = |word: &str| found.iter().find(|f| f.0 == word).map(|f| f.2);
    assert!((value("temp").unwrap() - 277.05).abs() < 1e-9 && (value("wind").unwrap() - 5.0).abs() < 1e-9);
    assert!((value("wind_from").unwrap() - 4.712_388_980).abs() < 1e-6);
    assert_eq!(value("rh"), None, "a null is no reading");
    assert_eq!(found[0].1, "2026-11-25T21:51:00Z".parse::<jiff::Timestamp>().unwrap().as_millisecond());
    let particles = list[1].latest(NOW_MS).unwrap();
    assert!(particles.len() < 400, "the one monitor, not the file");
    let found = read("particles", &particles).unwrap();
    assert!((found[0].2 - 9.4e-9).abs() < 1e-15, "{found:?}");
    let asked = server.asked.load(Ordering::Relaxed);
    // What is kept is not asked again, and a second program finds it too.
    assert_eq!(list[0].latest(NOW_MS).unwrap(), weather);
    assert_eq!(agencies(&at(&server.address), &out)[0].latest(NOW_MS).unwrap(), weather);
    assert_eq!(server.asked.load(Ordering::Relaxed), asked);
    std::fs::remove_dir_all(out).ok();
}

#[test]
fn without_a_network_it_is_said_and_nothing_else_happens() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    drop(listener);
    let out = folder("b");
    let (inlet, from) = channel();
    let doing = Doing::default();
    assert!(ask(&agencies(&at(&address), &out), &inlet, &doing));
    assert!(from.try_recv().is_err());
    assert!(doing.lock().unwrap().iter().all(|(_, why)| why.is_some()));
    std::fs::remove_dir_all(out).ok();
}

#[test]
fn answers_that_are_none() {
    for body in ["", "{", "[]", "{\"properties\":{}}", "{\"properties\":{\"timestamp\":5}}", "<html>"] {
        assert!(read("weather", body.as_bytes()).is_err(), "{body}");
        assert!(read("particles", body.as_bytes()).is_err(), "{body}");
    }
    // A service that points elsewhere is not followed.
    let server = serve(|_, path| {
        path.starts_with("/points")
            .then(|| r#"{"properties":{"observationStations":"http://127.0.0.1.example.org/x"}}"#.to_owned())
    });
    let out = folder("c");
    let error = agencies(&at(&server.address), &out)[0].latest(NOW_MS).unwrap_err();
    assert!(error.contains("another host"), "{error}");
    std::fs::remove_dir_all(out).ok();
}

/// One degree of latitude is 111.2 km; of longitude on the equator as well, and the short way round.
#[test]
fn distances() {
    assert!((apart_m((40.0, -83.0), (41.0, -83.0)) - 111_195.0).abs() < 10.0);
    assert!((apart_m((0.0, 179.5), (0.0, -179.5)) - 111_195.0).abs() < 10.0);
    // 60 degrees north: half of it.
    assert!((apart_m((60.0, 10.0), (60.0, 11.0)) - 55_597.0).abs() < 10.0);
}
