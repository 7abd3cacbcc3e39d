//! Encryption for every client of this program: rustls on ring, with the authorities that the system
//! knows or one of the user's own.

use mqtt4::tokio_rustls::rustls::crypto::{CryptoProvider, ring};
use mqtt4::tokio_rustls::rustls::pki_types::{CertificateDer, pem::PemObject};
use mqtt4::tokio_rustls::rustls::{ClientConfig, RootCertStore};
use std::path::Path;
use std::sync::{Arc, OnceLock};

/// The arithmetic.
pub(crate) fn provider() -> Arc<CryptoProvider> {
    static PROVIDER: OnceLock<Arc<CryptoProvider>> = OnceLock::new();
    Arc::clone(PROVIDER.get_or_init(|| Arc::new(ring::default_provider())))
}

/// Certificates of the authorities that are trusted.
///
/// # Errors
///
/// Where there are none.
pub(crate) fn authorities(own: Option<&Path>) -> Result<Vec<CertificateDer<'static>>, String> {
    let Some(path) = own else {
        let found = rustls_native_certs::load_native_certs();
        return if found.certs.is_empty() {
            Err("the system knows no authority".to_owned())
        } else {
            Ok(found.certs)
        };
    };
    let said = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let read = CertificateDer::pem_file_iter(path).map_err(|e| said(&e))?;
    let all: Vec<_> = read.collect::<Result<_, _>>().map_err(|e| said(&e))?;
    if all.is_empty() { Err(said(&"no certificate (PEM) in it")) } else { Ok(all) }
}

/// What a client needs.
///
/// # Errors
///
/// Where there is no authority to trust.
pub(crate) fn client(own: Option<&Path>) -> Result<Arc<ClientConfig>, String> {
    let mut roots = RootCertStore::empty();
    let (taken, _) = roots.add_parsable_certificates(authorities(own)?);
    if taken == 0 {
        return Err("no certificate of an authority can be used".to_owned());
    }
    let config = ClientConfig::builder_with_provider(provider()).with_safe_default_protocol_versions();
    let config = config.map_err(|e| e.to_string())?.with_root_certificates(roots).with_no_client_auth();
    Ok(Arc::new(config))
}
