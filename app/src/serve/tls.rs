//! The certificate that the desk shows: the user's own, or one made here and kept beside the store.
//!
//! A made one is signed by an authority that signs nothing else, because its key is dropped at once: a device
//! that trusts it trusts this one certificate.

use super::{Lan, Trouble};
use crate::clock;
use crate::files;
use crate::intake::tls::provider;
use anyhow::Result;
use engine::diag::{Diagnostic, code};
use rcgen::{
    BasicConstraints, CertificateParams, DnType, ExtendedKeyUsagePurpose, IsCa, Issuer, KeyPair,
    KeyUsagePurpose, date_time_ymd,
};
use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

/// How long a made one holds, years: phones refuse one that holds longer than 825 days (from memory).
const YEARS: i32 = 2;
/// It is made anew so many days before.
const BEFORE_DAYS: i32 = 60;

/// What is shown to whoever connects.
pub(super) struct Shown {
    pub(super) acceptor: TlsAcceptor,
    /// SHA-256 of the certificate, as browsers write it.
    pub(super) print: String,
    /// Where the authority of a made one lies.
    pub(super) authority: Option<PathBuf>,
}

fn cannot(what: impl std::fmt::Display) -> Trouble {
    Trouble(Diagnostic::error(code::K162).arg("what", what.to_string()))
}

fn beside(store: &Path, end: &str) -> PathBuf {
    let mut name = store.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// Takes the user's certificate, or makes one for these names (`name:port`).
///
/// # Errors
/// Files that cannot be read or do not go together.
pub(super) fn shown(store: &Path, lan: &Lan, names: &[String]) -> Result<Shown> {
    let (cert, key, authority) = match &lan.pair {
        Some((cert, key)) => (cert.clone(), key.clone(), None),
        None => {
            let (cert, key) = (beside(store, "-cert.pem"), beside(store, "-key.pem"));
            let authority = beside(store, "-authority.pem");
            let mut hosts: Vec<&str> =
                names.iter().filter_map(|n| n.rsplit_once(':')).map(|(host, _)| bare(host)).collect();
            hosts.sort_unstable();
            hosts.dedup();
            if !serves(&cert, &key, &hosts) {
                make(&cert, &key, &authority, &hosts)?;
            }
            (cert, key, Some(authority))
        }
    };
    let said = |path: &Path, e: &dyn std::fmt::Display| cannot(format!("{}: {e}", path.display()));
    let chain: Vec<CertificateDer<'static>> =
        CertificateDer::pem_file_iter(&cert).and_then(Iterator::collect).map_err(|e| said(&cert, &e))?;
    let first = chain.first().ok_or_else(|| said(&cert, &"PEM"))?;
    let print: Vec<String> = Sha256::digest(first).iter().map(|b| format!("{b:02X}")).collect();
    let private = PrivateKeyDer::from_pem_file(&key).map_err(|e| said(&key, &e))?;
    let config = ServerConfig::builder_with_provider(provider())
        .with_safe_default_protocol_versions()
        .map_err(cannot)?
        .with_no_client_auth()
        .with_single_cert(chain, private)
        .map_err(|e| said(&cert, &e))?;
    Ok(Shown { acceptor: TlsAcceptor::from(Arc::new(config)), print: print.join(":"), authority })
}

/// An address without the brackets that IPv6 has in a `Host` header.
fn bare(host: &str) -> &str {
    host.trim_start_matches('[').trim_end_matches(']')
}

/// The first line of a certificate made here: for whom, and until which day (PEM allows text above).
fn head(hosts: &[&str], until: &str) -> String {
    format!("for {} until {until}\n", hosts.join(" "))
}

/// Whether a certificate lies there that was made for these hosts and holds for some time.
fn serves(cert: &Path, key: &Path, hosts: &[&str]) -> bool {
    let Ok(text) = files::read_text(cert) else { return false };
    let Some((first, _)) = text.split_once('\n') else { return false };
    let Some((_, until)) = first.rsplit_once(' ') else { return false };
    // Dates in this form stand in the order of their letters.
    key.is_file() && format!("{first}\n") == head(hosts, until) && until > day(BEFORE_DAYS).2.as_str()
}

/// A day so many days from now: year, month and day, and as a text.
fn day(ahead: i32) -> (i32, (u8, u8), String) {
    let ms = clock::now_ms().saturating_add(i64::from(ahead) * 86_400_000);
    let text: String = clock::moment(ms).chars().take(10).collect();
    let mut parts = text.split('-');
    let year = parts.next().and_then(|y| y.parse().ok()).unwrap_or(1970);
    let mut small = || parts.next().and_then(|n| n.parse().ok()).unwrap_or(1);
    (year, (small(), small()), text)
}

fn make(cert: &Path, key: &Path, authority: &Path, hosts: &[&str]) -> Result<()> {
    let dated = |mut params: CertificateParams| {
        // Clocks of phones are sometimes a day behind.
        let (year, (month, date), _) = day(-2);
        params.not_before = date_time_ymd(year, month, date);
        let (year, (month, date), until) = day(YEARS * 365);
        params.not_after = date_time_ymd(year, month, date);
        (params, until)
    };
    let (mut above, _) = dated(CertificateParams::new(Vec::<String>::new()).map_err(cannot)?);
    above.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    above.key_usages = vec![KeyUsagePurpose::KeyCertSign];
    above.distinguished_name.push(DnType::CommonName, format!("Airwright desk {}", hosts.join(" ")));
    let above_key = KeyPair::generate().map_err(cannot)?;
    let above_cert = above.self_signed(&above_key).map_err(cannot)?;
    let hosts_owned: Vec<String> = hosts.iter().map(|h| (*h).to_owned()).collect();
    let (mut own, until) = dated(CertificateParams::new(hosts_owned).map_err(cannot)?);
    own.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    own.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    own.use_authority_key_identifier_extension = true;
    own.distinguished_name.push(DnType::CommonName, hosts.first().copied().unwrap_or("desk"));
    let own_key = KeyPair::generate().map_err(cannot)?;
    let own_cert = own.signed_by(&own_key, &Issuer::new(above, above_key)).map_err(cannot)?;
    let write = |path: &Path, text: &str, secret: bool| -> Result<()> {
        write(path, text, secret).map_err(|e| cannot(format!("{}: {e}", path.display())).into())
    };
    write(key, &own_key.serialize_pem(), true)?;
    write(authority, &above_cert.pem(), false)?;
    write(cert, &format!("{}{}", head(hosts, &until), own_cert.pem()), false)
}

/// Writes a file whole or not at all; a secret one for this user alone.
fn write(path: &Path, text: &str, secret: bool) -> std::io::Result<()> {
    let mut half = path.as_os_str().to_owned();
    half.push(".part");
    let half = PathBuf::from(half);
    if half.exists() {
        std::fs::remove_file(&half)?;
    }
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    if secret {
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    }
    options.open(&half)?.write_all(text.as_bytes())?;
    std::fs::rename(&half, path)
}
