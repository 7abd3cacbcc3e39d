//! Mail over TLS, against servers of the test's own on loopback: what they got in clear is kept apart from what came
//! encrypted.

use super::super::tests::{carbon_monoxide, decoded, zone};
use super::super::{Channels, Due, compose};
use super::*;
use crate::intake::tls::provider;
use rcgen::{BasicConstraints, CertificateParams, IsCa, Issuer, KeyPair, KeyUsagePurpose};
use report::words::{Language, Words};
use std::io::{Read, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::{ServerConfig, ServerConnection, StreamOwned};

/// What a server has got.
#[derive(Clone, Debug, Default)]
struct Got {
    clear: String,
    encrypted: String,
    mails: Vec<String>,
}

#[derive(Clone, Copy, PartialEq)]
enum Speaks {
    /// Encrypted from the first byte.
    Whole,
    /// Offers to encrypt.
    Starts,
    /// Does not offer it.
    Clear,
    /// Says that it offers it and refuses.
    Refuses,
}

/// An authority of one's own, a server's certificate that it signed, for these hosts.
struct Made {
    folder: PathBuf,
    config: Arc<ServerConfig>,
}

fn made(name: &str, hosts: &[&str]) -> Made {
    let folder = std::env::temp_dir().join(format!("airwright tls {name} {}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let mut above = CertificateParams::new(Vec::<String>::new()).unwrap();
    above.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    above.key_usages = vec![KeyUsagePurpose::KeyCertSign];
    let above_key = KeyPair::generate().unwrap();
    std::fs::write(folder.join("ca.pem"), above.self_signed(&above_key).unwrap().pem()).unwrap();
    std::fs::write(folder.join("mail.secret"), "pass word 7\n").unwrap();
    let hosts: Vec<String> = hosts.iter().map(|h| (*h).to_owned()).collect();
    let own_key = KeyPair::generate().unwrap();
    let own =
        CertificateParams::new(hosts).unwrap().signed_by(&own_key, &Issuer::new(above, above_key)).unwrap();
    let config = ServerConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_no_client_auth()
        .with_single_cert(
            vec![CertificateDer::from_pem_slice(own.pem().as_bytes()).unwrap()],
            PrivateKeyDer::from_pem_slice(own_key.serialize_pem().as_bytes()).unwrap(),
        )
        .unwrap();
    Made { folder, config: Arc::new(config) }
}

impl Drop for Made {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.folder).ok();
    }
}

/// A line with its end; nothing at the end of the stream.
fn line(from: &mut impl Read) -> Option<String> {
    let (mut text, mut byte) = (Vec::new(), [0]);
    while from.read(&mut byte).ok()? == 1 {
        text.push(byte[0]);
        if byte[0] == b'\n' {
            return String::from_utf8(text).ok();
        }
    }
    None
}

/// One conversation; true where the client asked to encrypt and may.
fn talk(
    stream: &mut (impl Read + std::io::Write),
    speaks: Speaks,
    got: &Mutex<Got>,
    encrypted: bool,
) -> bool {
    let say = |s: &mut dyn std::io::Write, text: &str| s.write_all(format!("{text}\r\n").as_bytes()).is_ok();
    let mut mail: Option<String> = None;
    while let Some(text) = line(stream) {
        let mut all = got.lock().unwrap();
        if encrypted {
            all.encrypted.push_str(&text)
        } else {
            all.clear.push_str(&text)
        }
        let word = text.trim_end().to_uppercase();
        if let Some(so_far) = &mut mail {
            if word == "." {
                all.mails.extend(mail.take());
                say(stream, "250 kept");
            } else {
                so_far.push_str(&text);
            }
            continue;
        }
        drop(all);
        if word.starts_with("EHLO") {
            say(stream, "250-sink");
            if !encrypted && matches!(speaks, Speaks::Starts | Speaks::Refuses) {
                say(stream, "250-STARTTLS");
            }
            say(stream, "250-8BITMIME");
            say(stream, "250 AUTH PLAIN LOGIN");
        } else if word == "STARTTLS" && speaks == Speaks::Starts {
            say(stream, "220 go on");
            return true;
        } else if word == "STARTTLS" {
            say(stream, "454 not available");
        } else if word.starts_with("AUTH") {
            say(stream, "235 welcome");
        } else if word == "DATA" {
            mail = Some(String::new());
            say(stream, "354 go on");
        } else if word == "QUIT" {
            say(stream, "221 bye");
            return false;
        } else {
            say(stream, "250 good");
        }
    }
    false
}

fn serve(speaks: Speaks, config: &Arc<ServerConfig>) -> (u16, Arc<Mutex<Got>>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let got = Arc::new(Mutex::new(Got::default()));
    let (to, config) = (Arc::clone(&got), Arc::clone(config));
    std::thread::spawn(move || {
        for socket in listener.incoming() {
            let mut socket: TcpStream = socket.unwrap();
            let greets = b"220 sink ready\r\n";
            if speaks != Speaks::Whole {
                socket.write_all(greets).unwrap();
                if !talk(&mut socket, speaks, &to, false) {
                    continue;
                }
            }
            let mut inside = StreamOwned::new(ServerConnection::new(Arc::clone(&config)).unwrap(), socket);
            // A client that does not like the certificate goes.
            if speaks != Speaks::Whole || inside.write_all(greets).is_ok() {
                talk(&mut inside, speaks, &to, true);
            }
        }
    });
    (port, got)
}

/// The outcome of one sending, and what the server got. `host` is what the document calls the server.
fn sent(
    made: &Made,
    host: &str,
    speaks: Speaks,
    tls: &str,
    authority: Option<&str>,
) -> (Result<(), String>, Got) {
    let (port, got) = serve(speaks, &made.config);
    let authority = authority.map(|a| format!("authority = \"{a}\"\n")).unwrap_or_default();
    let watch = crate::intake::bench::document(&format!(
        "format = 1\n[alert.owner]\nby = \"mail\"\nserver = \"{host}:{port}\"\ntls = \"{tls}\"\n{authority}\
         from = \"house@example.org\"\nto = [\"owner@example.org\"]\nuser = \"house\"\npassword_file = \"mail.secret\"\n"
    ));
    let channels = Channels::new(&watch.alerts, Vec::new(), &made.folder);
    let words = Words::new(Language::En, engine::units::System::Si);
    let message = compose(&carbon_monoxide(), "House", &zone(), &words);
    let due = Due {
        id: 1,
        channel: "owner".to_owned(),
        payload: serde_json::to_vec(&message).unwrap(),
        attempts: 0,
        key: "key".to_owned(),
    };
    let done = channels.hand_over(&due);
    std::thread::sleep(Duration::from_millis(50));
    let all = got.lock().unwrap().clone();
    (done, all)
}

/// `AUTH PLAIN` of `house` and the password, and of `LOGIN` the password alone.
fn has_password(text: &str) -> bool {
    let coded = [base64(b"\0house\0pass word 7"), base64(b"pass word 7")];
    text.contains("pass word 7") || coded.iter().any(|c| text.contains(c.as_str()))
}

#[test]
fn it_is_delivered_encrypted_from_the_start_or_after_starttls() {
    let made = made("good", &["localhost", "127.0.0.1"]);
    for (speaks, tls) in [(Speaks::Whole, "whole"), (Speaks::Starts, "starttls")] {
        for host in ["localhost", "127.0.0.1"] {
            let (done, got) = sent(&made, host, speaks, tls, Some("ca.pem"));
            done.unwrap();
            assert_eq!(got.mails.len(), 1);
            assert!(decoded(&got.mails[0]).contains("42"), "{}", got.mails[0]);
            assert!(has_password(&got.encrypted), "it was shown where nobody else reads");
            assert!(!has_password(&got.clear));
            let before: Vec<&str> = got.clear.lines().map(|l| l.split(' ').next().unwrap()).collect();
            let allowed: &[&str] = if speaks == Speaks::Whole { &[] } else { &["EHLO", "STARTTLS"] };
            assert_eq!(before, allowed, "nothing else in clear");
        }
    }
}

#[test]
fn a_certificate_that_does_not_fit_is_refused_and_said() {
    let (of_other, good) = (made("other", &["mail.example.org"]), made("known", &["localhost"]));
    for (speaks, tls) in [(Speaks::Whole, "whole"), (Speaks::Starts, "starttls")] {
        // For another name; by an authority that nobody knows; by another than the one that is named.
        std::fs::copy(of_other.folder.join("ca.pem"), good.folder.join("another.pem")).unwrap();
        for (of, authority) in [(&of_other, Some("ca.pem")), (&good, None), (&good, Some("another.pem"))] {
            let (done, got) = sent(of, "localhost", speaks, tls, authority);
            let why = done.unwrap_err();
            assert!(why.starts_with("localhost: ") && why.to_lowercase().contains("certificate"), "{why}");
            assert!(got.mails.is_empty() && !has_password(&got.clear) && !has_password(&got.encrypted));
            assert!(!why.contains("pass word"));
        }
    }
    let (done, _) = sent(&good, "localhost", Speaks::Whole, "whole", Some("missing.pem"));
    assert!(done.unwrap_err().contains("missing.pem"));
}

#[test]
fn where_encryption_is_required_and_not_offered_nothing_is_sent_in_clear() {
    let made = made("clear", &["localhost"]);
    for speaks in [Speaks::Clear, Speaks::Refuses] {
        let (done, got) = sent(&made, "localhost", speaks, "starttls", Some("ca.pem"));
        let why = done.unwrap_err();
        assert!(!why.contains("pass word"), "{why}");
        assert!(got.mails.is_empty() && !has_password(&got.clear), "{got:?}");
        assert!(
            !got.clear.contains("MAIL") && !got.clear.contains("AUTH") && !got.clear.contains("example.org"),
            "{got:?}"
        );
    }
    // A server that does not speak TLS where it should from the start.
    let (done, got) = sent(&made, "localhost", Speaks::Clear, "whole", Some("ca.pem"));
    assert!(done.is_err() && got.mails.is_empty() && !has_password(&got.clear));
}
