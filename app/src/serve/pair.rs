//! Letting a device in: a short code shown at the desk, once and for ten minutes, for a token of 256 bits.

use super::desk::{Caller, Desk, SMALL};
use super::guard::Json;
use super::listen::Peer;
use super::pace::{self, Pace};
use super::refuse::{Done, Refusal};
use crate::cli::{data, talk};
use crate::clock;
use crate::intake::tls;
use axum::Extension;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use engine::diag::{Diagnostic, code};
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;
use serde::Deserialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::io::{BufRead, IsTerminal};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Letters of a code: none that is taken for another.
const LETTERS: &[u8; 31] = b"ABCDEFGHJKMNPQRSTUVWXYZ23456789";
const LENGTH: usize = 8;
/// How long a code holds.
const HOLDS: Duration = Duration::from_secs(600);
/// Codes that hold at once; the oldest goes.
const MOST: usize = 4;
/// Longest name of a device, in letters.
const LONGEST_NAME: usize = 60;

type Hash = [u8; 32];

/// Codes that hold, and how often wrong ones were tried.
pub(super) struct Codes {
    hold: Mutex<Vec<(Hash, Instant)>>,
    /// Five wrong tries a minute and address; thirty a minute of all.
    wrong: Pace,
    wrong_of_all: Pace,
}

impl Default for Codes {
    fn default() -> Codes {
        Codes {
            hold: Mutex::new(Vec::new()),
            wrong: Pace::new(5.0, 5.0 / 60.0),
            wrong_of_all: Pace::new(30.0, 0.5),
        }
    }
}

/// Random bytes of the system.
fn random<const N: usize>() -> Option<[u8; N]> {
    let mut bytes = [0; N];
    tls::provider().secure_random.fill(&mut bytes).ok()?;
    Some(bytes)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// A name that nobody guesses, of 128 bits.
pub(super) fn secret_name() -> Option<String> {
    Some(hex(&random::<16>()?))
}

/// The hash that the store has of a token; nothing for what can be none.
pub(super) fn hash_of_token(token: &str) -> Option<String> {
    let sound = token.len() == 64 && token.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    sound.then(|| hex(&Sha256::digest(token.as_bytes())))
}

/// Equal or not, in a time that does not hang on where they differ.
fn same(a: &Hash, b: &Hash) -> bool {
    a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

/// What was typed, as it counts: letters of either case, with or without the dash.
fn hash_of_code(typed: &str) -> Hash {
    let plain: String =
        typed.chars().filter(|c| !c.is_whitespace() && *c != '-').flat_map(char::to_uppercase).collect();
    Sha256::digest(plain.as_bytes()).into()
}

impl Codes {
    /// A new code; nothing where the system gives no random bytes.
    pub(super) fn make(&self, now: Instant) -> Option<String> {
        let mut code = String::new();
        while code.len() < LENGTH {
            // Bytes beyond the last whole round are drawn again, so that every letter is as likely.
            let bytes = random::<16>()?;
            let fair = bytes.iter().filter(|b| **b < 248).map(|b| usize::from(*b) % LETTERS.len());
            code.extend(
                fair.take(LENGTH - code.len()).filter_map(|n| LETTERS.get(n)).map(|b| char::from(*b)),
            );
        }
        let mut hold = self.hold.lock().unwrap_or_else(PoisonError::into_inner);
        if hold.len() >= MOST {
            hold.remove(0);
        }
        hold.push((hash_of_code(&code), now));
        code.insert(LENGTH / 2, '-');
        Some(code)
    }

    /// Uses a code up.
    fn redeem(&self, typed: &str, whose: pace::Whose, now: Instant) -> Done<()> {
        let everybody = pace::Whose::Device(0);
        self.wrong.look(whose, now).map_err(Refusal::too_fast)?;
        self.wrong_of_all.look(everybody, now).map_err(Refusal::too_fast)?;
        let hash = hash_of_code(typed);
        let mut hold = self.hold.lock().unwrap_or_else(PoisonError::into_inner);
        hold.retain(|(_, made)| now.saturating_duration_since(*made) < HOLDS);
        // All are looked at, wherever the right one stands.
        let found =
            hold.iter().enumerate().fold(None, |f, (n, (h, _))| if same(h, &hash) { Some(n) } else { f });
        match found {
            Some(n) => {
                hold.remove(n);
                Ok(())
            }
            None => {
                drop(hold);
                self.wrong.take(whose, now).map_err(Refusal::too_fast)?;
                self.wrong_of_all.take(everybody, now).map_err(Refusal::too_fast)?;
                Err(Refusal::new(StatusCode::FORBIDDEN, Diagnostic::error(code::K150)))
            }
        }
    }
}

/// What a device says that wants to join.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Joins {
    code: String,
    name: String,
}

fn device_name(text: &str) -> Done<String> {
    let name = text.trim();
    let sound = |c: char| c.is_alphanumeric() || " -_.,()'".contains(c);
    if name.is_empty() || name.chars().count() > LONGEST_NAME || !name.chars().all(sound) {
        let shown: String = name.chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
        let why = Diagnostic::error(code::K156).arg("name", shown);
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why));
    }
    Ok(name.to_owned())
}

/// `POST /desk/join`: a token for a code.
pub(super) async fn join(
    State(desk): State<Arc<Desk>>,
    Extension(Peer(address)): Extension<Peer>,
    request: Request,
) -> Done<Json<Value>> {
    let told: Joins = desk.body(request, SMALL).await?;
    let name = device_name(&told.name)?;
    desk.codes.redeem(&told.code, pace::of(address), clock::monotonic())?;
    let token = random::<32>().map(|b| hex(&b)).ok_or_else(Refusal::too_much)?;
    let hash = hash_of_token(&token).ok_or_else(Refusal::too_much)?;
    let device = desk.ask(move |store| Ok(store.join(&name, &hash, clock::now_ms())?)).await?;
    talk(&format!(
        "{}\n",
        api::plain_words().text("cli-desk-joined", &[("name", device.name.as_str().into())])
    ));
    Ok(Json(json!({ "token": token, "device": device })))
}

/// `POST /desk/code`: a code for another device.
pub(super) async fn code(State(desk): State<Arc<Desk>>) -> Done<Json<Value>> {
    let code = desk.codes.make(clock::monotonic()).ok_or_else(Refusal::too_much)?;
    Ok(Json(json!({ "code": code, "seconds": HOLDS.as_secs() })))
}

/// `GET /desk/devices`.
pub(super) async fn devices(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
) -> Done<Json<Value>> {
    let devices = desk.ask(|store| Ok(store.devices()?)).await?;
    Ok(Json(json!({ "devices": devices, "own": caller.device.id })))
}

/// `GET /desk/device`: who asks, as the desk knows him, and whether this desk writes PDF.
pub(super) async fn own(Extension(caller): Extension<Caller>) -> Json<Value> {
    Json(json!({ "device": caller.device, "pdf": super::print::CAN }))
}

/// `DELETE /desk/device`: leaves the desk.
pub(super) async fn leave(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
) -> Done<Json<Value>> {
    let id = caller.device.id;
    desk.ask(move |store| Ok(store.forget(id, clock::now_ms())?)).await?;
    Ok(Json(json!({ "left": true })))
}

/// Shows a code, and a new one each time somebody presses Enter.
pub(super) fn at_the_terminal(desk: &Arc<Desk>, origin: &str) {
    show(&desk.codes, origin);
    let words = api::plain_words();
    data(&format!("{}\n", words.say("cli-desk-new")));
    let (desk, origin) = (Arc::clone(desk), origin.to_owned());
    let reads = move || {
        // Ends with the input, or with the program.
        for line in std::io::stdin().lock().lines() {
            if line.is_err() || *desk.end.borrow() {
                return;
            }
            show(&desk.codes, &origin);
        }
    };
    // Without a thread there is still the code that was shown.
    std::thread::Builder::new().name("terminal".to_owned()).spawn(reads).ok();
}

fn show(codes: &Codes, origin: &str) {
    let words = api::plain_words();
    let Some(code) = codes.make(clock::monotonic()) else { return };
    // Behind the `#`, which no browser sends.
    let address = format!("{origin}/#/join/{code}");
    if std::io::stdout().is_terminal()
        && let Ok(picture) = QrCode::new(address.as_bytes())
    {
        // Terminals are mostly dark: what is drawn there is the light part.
        let drawn =
            picture.render::<Dense1x2>().dark_color(Dense1x2::Light).light_color(Dense1x2::Dark).build();
        data(&format!("{drawn}\n"));
    }
    data(&format!("{}\n", words.text("cli-desk-code", &[("code", code.into())])));
    data(&format!("{}\n", words.text("cli-desk-open", &[("address", address.into())])));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whose(address: &str) -> pace::Whose {
        pace::of(address.parse().unwrap())
    }

    #[test]
    fn a_code_counts_once_for_ten_minutes_and_however_typed() {
        let (codes, now, me) = (Codes::default(), clock::monotonic(), whose("10.0.0.1"));
        let code = codes.make(now).unwrap();
        assert_eq!(code.len(), LENGTH + 1);
        assert!(code.bytes().all(|b| LETTERS.contains(&b) || b == b'-'), "{code}");
        assert!(codes.redeem(&code.to_lowercase().replace('-', " "), me, now).is_ok());
        assert_eq!(codes.redeem(&code, me, now).unwrap_err().status, StatusCode::FORBIDDEN);
        let late = codes.make(now).unwrap();
        let then = now + HOLDS;
        assert_eq!(codes.redeem(&late, me, then).unwrap_err().status, StatusCode::FORBIDDEN);
        let in_time = codes.make(then).unwrap();
        assert!(codes.redeem(&in_time, me, then + HOLDS - Duration::from_millis(1)).is_ok());
    }

    #[test]
    fn who_guesses_waits_even_with_the_right_code() {
        let (codes, now, me) = (Codes::default(), clock::monotonic(), whose("10.0.0.1"));
        let code = codes.make(now).unwrap();
        for _ in 0..5 {
            assert_eq!(codes.redeem("AAAA-AAAA", me, now).unwrap_err().why.code, code::K150);
        }
        let refused = codes.redeem(&code, me, now).unwrap_err();
        assert_eq!((refused.status, refused.after_s), (StatusCode::TOO_MANY_REQUESTS, Some(13)));
        assert!(codes.redeem(&code, whose("10.0.0.2"), now).is_ok());
        // Many addresses together wait, too.
        for n in 0..25 {
            let other = whose(&format!("10.0.1.{n}"));
            assert_eq!(codes.redeem("AAAA-AAAA", other, now).unwrap_err().status, StatusCode::FORBIDDEN);
        }
        let last = codes.redeem("AAAA-AAAA", whose("10.0.2.1"), now).unwrap_err();
        assert_eq!(last.status, StatusCode::TOO_MANY_REQUESTS);
    }

    #[test]
    fn letters_are_as_likely_as_each_other() {
        let codes = Codes::default();
        let mut counts = std::collections::BTreeMap::<char, usize>::new();
        for _ in 0..4000 {
            for c in codes.make(clock::monotonic()).unwrap().chars().filter(|c| *c != '-') {
                *counts.entry(c).or_default() += 1;
            }
        }
        // 32 000 letters of 31: 1032 each, standard deviation 32; six of those.
        assert_eq!(counts.len(), LETTERS.len());
        assert!(counts.values().all(|n| (840..1225).contains(n)), "{counts:?}");
    }

    #[test]
    fn names_of_devices() {
        for yes in ["Pat's phone", "tablet (2)", "teléfono"] {
            assert_eq!(device_name(yes).unwrap(), yes);
        }
        for no in ["", "  ", "a\nb", "<b>", "\u{1b}[2J", "a/b", &"x".repeat(61)] {
            assert!(device_name(no).is_err(), "{no:?}");
        }
    }
}
