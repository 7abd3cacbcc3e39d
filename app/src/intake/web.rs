//! This program as a client of the web: fetching from public agencies, posting to a webhook.

use super::tls;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use ureq::tls::{Certificate, RootCerts, TlsConfig};

/// Largest answer that is read, bytes.
const LARGEST: u64 = 32 << 20;
/// How long an answer may take.
const PATIENCE: Duration = Duration::from_secs(20);

/// Something that fetches.
pub(crate) trait Fetch: Send {
    /// The answer's bytes.
    ///
    /// # Errors
    ///
    /// Why there is none, in words.
    fn get(&self, url: &str, accept: &str) -> Result<Vec<u8>, String>;
}

/// A client of the web.
pub(crate) struct Web(ureq::Agent);

impl Web {
    /// One that says who it is.
    pub(crate) fn new(says: &str) -> Web {
        // Without an authority nothing encrypted can be reached, and the attempt says so.
        let known = tls::authorities(None).unwrap_or_default();
        let roots = known.iter().map(|c| Certificate::from_der(c).to_owned()).collect::<Vec<_>>();
        let tls = TlsConfig::builder()
            .root_certs(RootCerts::Specific(Arc::new(roots)))
            .unversioned_rustls_crypto_provider(tls::provider())
            .build();
        let config = ureq::Agent::config_builder()
            .tls_config(tls)
            .user_agent(says)
            .timeout_global(Some(PATIENCE))
            .max_redirects(3)
            .build();
        Web(config.new_agent())
    }

    /// Posts a JSON document; the token goes into a header, never into the address.
    ///
    /// # Errors
    ///
    /// Why it was not taken, in words without the token.
    pub(crate) fn post(&self, url: &str, token: Option<&str>, body: &str) -> Result<(), String> {
        let mut request = self.0.post(url).header("Content-Type", "application/json");
        if let Some(token) = token {
            request = request.header("Authorization", format!("Bearer {token}"));
        }
        request.send(body).map(|_| ()).map_err(|e| e.to_string())
    }
}

impl Fetch for Web {
    fn get(&self, url: &str, accept: &str) -> Result<Vec<u8>, String> {
        let mut answer = self.0.get(url).header("Accept", accept).call().map_err(|e| e.to_string())?;
        let mut bytes = Vec::new();
        let read = answer.body_mut().as_reader().take(LARGEST + 1).read_to_end(&mut bytes);
        read.map_err(|e| e.to_string())?;
        if bytes.len() as u64 > LARGEST { Err("the answer is too large".to_owned()) } else { Ok(bytes) }
    }
}

/// Answers kept as files: asked again only when they are old, and used when nobody can be reached.
pub(crate) struct Kept<F> {
    from: F,
    folder: PathBuf,
}

impl<F: Fetch> Kept<F> {
    /// Keeps in a folder, which may be deleted at any time.
    pub(crate) fn new(from: F, folder: &Path) -> Kept<F> {
        Kept { from, folder: folder.to_path_buf() }
    }

    /// An answer of at most this age; an older one where none can be had.
    ///
    /// # Errors
    ///
    /// Where there is none of any age.
    pub(crate) fn get(&self, url: &str, accept: &str, most: Duration) -> Result<Vec<u8>, String> {
        let plain = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-') { c } else { '_' };
        let name: String = url.chars().map(plain).collect();
        let path = self.folder.join(name);
        let age =
            std::fs::metadata(&path).and_then(|m| m.modified()).ok().map(|t| t.elapsed().unwrap_or_default());
        if age.is_some_and(|age| age <= most)
            && let Ok(kept) = std::fs::read(&path)
        {
            return Ok(kept);
        }
        match self.from.get(url, accept) {
            Ok(bytes) => {
                // What cannot be kept is fetched again next time.
                std::fs::create_dir_all(&self.folder).and_then(|()| std::fs::write(&path, &bytes)).ok();
                Ok(bytes)
            }
            Err(why) => std::fs::read(&path).map_err(|_| why),
        }
    }
}
