//! Alerts as e-mail: plain text, one message a channel.

use super::Message;
use crate::intake::secret;
use engine::doc::watch::{Mail, MailTls};
use lettre::address::{Address, Envelope};
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Certificate, CertificateStore, Tls, TlsParameters};
use lettre::{SmtpTransport, Transport};
use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

const PATIENCE: Duration = Duration::from_secs(20);
const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Sends it.
///
/// # Errors
///
/// Why not, in words without a secret.
pub(super) fn send(mail: &Mail, message: &Message, key: &str, job: &Path) -> Result<(), String> {
    let said = |e: &dyn std::fmt::Display| format!("{}: {e}", mail.server.value.host);
    let address = |text: &str| text.parse::<Address>().map_err(|e| said(&e));
    let to = mail.to.iter().map(|a| address(&a.value)).collect::<Result<Vec<_>, _>>()?;
    let envelope = Envelope::new(Some(address(&mail.from.value)?), to).map_err(|e| said(&e))?;
    let host = mail.server.value.host.clone();
    let encrypted = || {
        let mut parameters = TlsParameters::builder(host.clone());
        if let Some(path) = &mail.authority {
            let pem = std::fs::read(job.join(&path.value)).map_err(|e| format!("{}: {e}", path.value))?;
            let root = Certificate::from_pem(&pem).map_err(|e| format!("{}: {e}", path.value))?;
            // Who names an authority means that one.
            parameters = parameters.certificate_store(CertificateStore::None).add_root_certificate(root);
        }
        parameters.build_rustls().map_err(|e| said(&e))
    };
    let tls = match mail.tls {
        MailTls::Whole => Tls::Wrapper(encrypted()?),
        MailTls::Starts => Tls::Required(encrypted()?),
        MailTls::None => Tls::None,
    };
    let mut server = SmtpTransport::builder_dangerous(host.clone())
        .port(mail.server.value.port)
        .timeout(Some(PATIENCE))
        .tls(tls);
    if let Some((user, password)) = &mail.user {
        let password = password.as_ref().map(|p| secret::read(p, job)).transpose()?.unwrap_or_default();
        server = server.credentials(Credentials::new(user.value.clone(), password));
    }
    server.build().send_raw(&envelope, text(mail, message, key).as_bytes()).map(|_| ()).map_err(|e| said(&e))
}

/// The whole message, RFC 5322 with a text in UTF-8. Nothing of the head comes from a reading but the
/// subject, and that is encoded.
fn text(mail: &Mail, message: &Message, key: &str) -> String {
    let mut out = String::new();
    let to = mail.to.iter().map(|a| a.value.as_str()).collect::<Vec<_>>().join(", ");
    let plain = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-') { c } else { '-' };
    let id: String = key.chars().map(plain).take(120).collect();
    let from = mail.from.value.as_str();
    let host = from.rsplit('@').next().unwrap_or("localhost");
    // The same alert has the same id, so that a reader can join two copies of it.
    let head = [
        ("From", from.to_owned()),
        ("To", to),
        ("Subject", subject(&message.subject)),
        ("Date", date(&message.time)),
        ("Message-ID", format!("<{id}@{host}>")),
        ("MIME-Version", "1.0".to_owned()),
        ("Content-Type", "text/plain; charset=utf-8".to_owned()),
        ("Content-Transfer-Encoding", "base64".to_owned()),
        ("Auto-Submitted", "auto-generated".to_owned()),
    ];
    for (name, value) in head {
        // A text in memory takes what is written to it.
        if write!(out, "{name}: {value}\r\n").is_err() {}
    }
    out.push_str("\r\n");
    let body = base64(message.text.replace('\n', "\r\n").as_bytes());
    for line in body.as_bytes().chunks(76) {
        out.push_str(std::str::from_utf8(line).unwrap_or(""));
        out.push_str("\r\n");
    }
    out
}

/// A subject in encoded words (RFC 2047), each short enough and whole in its characters.
fn subject(text: &str) -> String {
    let mut words: Vec<String> = vec![String::new()];
    for c in text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200) {
        if words.last().is_some_and(|w| w.len() + c.len_utf8() > 42) {
            words.push(String::new());
        }
        if let Some(word) = words.last_mut() {
            word.push(c);
        }
    }
    let encoded = words.iter().map(|w| format!("=?utf-8?B?{}?=", base64(w.as_bytes())));
    encoded.collect::<Vec<_>>().join("\r\n ")
}

/// `2026-11-25 21:51 -05:00` as mail writes it.
fn date(time: &str) -> String {
    let read = jiff::fmt::strtime::parse("%Y-%m-%d %H:%M %:z", time).and_then(|t| t.to_timestamp());
    let stamp = read.unwrap_or_default();
    jiff::fmt::rfc2822::to_string(&stamp.to_zoned_datetime(jiff::tz::TimeZone::UTC)).unwrap_or_default()
}

/// RFC 4648.
fn base64(bytes: &[u8]) -> String {
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let all = (byte(0) << 16) | (byte(1) << 8) | byte(2);
        for (at, shift) in [18, 12, 6, 0].into_iter().enumerate() {
            let letter = ALPHABET.get((all >> shift & 63) as usize).copied().unwrap_or(b'=');
            out.push(if at > three.len() { '=' } else { char::from(letter) });
        }
    }
    out
}

#[cfg(test)]
mod encrypted;

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn base64_is_the_standards() {
        for (text, code) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(text.as_bytes()), code);
        }
    }

    #[test]
    fn a_subject_cannot_add_a_line() {
        let made =
            subject("Alerta: mon\u{f3}xido\r\nBcc: all@example.org \u{1f525} and much more text than fits");
        for line in made.split("\r\n") {
            assert!(
                line.trim_start().starts_with("=?utf-8?B?") && line.ends_with("?=") && line.len() < 77,
                "{line}"
            );
        }
    }

    #[test]
    fn a_date_is_that_of_mail() {
        assert_eq!(date("2026-11-25 16:51 -05:00"), "Wed, 25 Nov 2026 21:51:00 +0000");
    }
}
