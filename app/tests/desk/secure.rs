//! The local network: encrypted always, trusted by whoever trusts the certificate and by nobody else.

use super::client::{Serving, folder};
use std::sync::Arc;
use std::time::Duration;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::CertificateDer;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use ureq::tls::{Certificate, RootCerts, TlsConfig};

fn client(trusts: &[CertificateDer<'_>]) -> ureq::Agent {
    let roots: Vec<_> = trusts.iter().map(|c| Certificate::from_der(c).to_owned()).collect();
    let tls = TlsConfig::builder()
        .root_certs(RootCerts::Specific(Arc::new(roots)))
        .unversioned_rustls_crypto_provider(Arc::new(ring::default_provider()))
        .build();
    let config = ureq::Agent::config_builder()
        .tls_config(tls)
        .timeout_global(Some(Duration::from_secs(20)))
        .http_status_as_error(false);
    config.build().new_agent()
}

fn authority(desk: &Serving) -> CertificateDer<'static> {
    CertificateDer::from_pem_file(desk.folder.path().join("desk.store-authority.pem")).unwrap()
}

#[test]
fn the_made_certificate_is_trusted_by_whoever_trusts_it() {
    let desk = Serving::new(folder("maple"), &["--lan", "127.0.0.1"]);
    let print = desk.line("SHA-256");
    let code = desk.code();
    let url = format!("https://{}/desk/join", desk.host);
    let known = client(&[authority(&desk)]);
    let body = format!("{{\"code\":\"{code}\",\"name\":\"phone\"}}");
    let join = |agent: &ureq::Agent| agent.post(&url).content_type("application/json").send(&body);
    // Strangers first: they do not get so far as to use the code up.
    let other = Serving::new(folder("elm"), &["--lan", "127.0.0.1"]);
    assert!(join(&client(&[])).is_err());
    assert!(join(&client(&[authority(&other)])).is_err());
    let mut joined = join(&known).unwrap();
    assert_eq!(joined.status().as_u16(), 200);
    assert!(joined.body_mut().read_to_string().unwrap().contains("token"));
    // Without encryption nobody answers.
    assert!(desk.raw(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n").is_none());
    // It is kept: the desk shows the same certificate when it comes again.
    let key = desk.folder.path().join("desk.store-key.pem");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(std::fs::metadata(&key).unwrap().permissions().mode() & 0o077, 0);
    }
    let before = (std::fs::read(&key).unwrap(), authority(&desk));
    let again = program(&desk);
    assert_eq!(again, print);
    assert_eq!((std::fs::read(&key).unwrap(), authority(&desk)), before);
}

/// Serves the same store a second time and reads the fingerprint.
fn program(desk: &Serving) -> String {
    use std::io::{BufRead, BufReader};
    let mut child = crate::run::program()
        .args(["serve", "--port", "0", "--lan", "127.0.0.1", "--store"])
        .arg(desk.store())
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let print = lines.map_while(Result::ok).find(|l| l.contains("SHA-256")).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    print
}

#[test]
fn a_certificate_of_the_users_own_and_files_that_are_none() {
    let made = Serving::new(folder("maple"), &["--lan", "127.0.0.1"]);
    let at = |end: &str| made.folder.path().join(format!("desk.store-{end}")).display().to_string();
    let (cert, key) = (at("cert.pem"), at("key.pem"));
    let own = Serving::new(folder("elm"), &["--lan", "127.0.0.1", "--cert", &cert, "--key", &key]);
    let reply = client(&[authority(&made)]).get(format!("https://{}/desk/jobs", own.host)).call().unwrap();
    assert_eq!(reply.status().as_u16(), 401);
    for (cert, key) in [(key.as_str(), key.as_str()), (cert.as_str(), "/nowhere.pem")] {
        let folder = folder("ash");
        let ran = crate::run::program()
            .args(["serve", "--port", "0", "--lan", "127.0.0.1", "--cert", cert, "--key", key, "--store"])
            .arg(folder.path().join("desk.store"))
            .output()
            .unwrap();
        assert_eq!(ran.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&ran.stderr).contains("K162"), "{ran:?}");
    }
}
