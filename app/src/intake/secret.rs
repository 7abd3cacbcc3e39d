//! Secrets from where the document says they are; never logged, never part of an address.

use super::cannot::{Cannot, why};
use engine::doc::watch::Secret;
use std::path::Path;

/// Longest secret, bytes.
const LONGEST: u64 = 16 << 10;

/// Reads a secret; without the line break that editors put at the end.
///
/// # Errors
///
/// What is missing, without anything of the secret in it.
pub(crate) fn read(secret: &Secret, job: &Path) -> Result<String, Cannot> {
    let name = match secret {
        Secret::File(path) => job.join(&path.value).display().to_string(),
        Secret::Environment(name) => name.value.clone(),
    };
    let cannot = |why: &'static str, what: String| Cannot::Secret { name: name.clone(), why, what };
    let said = |e: std::io::Error| cannot(why(&e), e.to_string());
    let found = match secret {
        Secret::File(path) => {
            let path = job.join(&path.value);
            if std::fs::metadata(&path).map_err(said)?.len() > LONGEST {
                return Err(cannot("long", String::new()));
            }
            std::fs::read_to_string(&path).map_err(said)?
        }
        Secret::Environment(name) => std::env::var_os(&name.value)
            .ok_or_else(|| cannot("not-set", String::new()))?
            .into_string()
            .map_err(|_| cannot("no-text", String::new()))?,
    };
    let found = found.trim_end_matches(['\r', '\n']).to_owned();
    if found.is_empty() || found.contains(['\r', '\n', '\0']) {
        return Err(cannot("no-line", String::new()));
    }
    Ok(found)
}

/// Whether two secrets are the same, in a time that does not tell how far they agree.
pub(crate) fn same(one: &[u8], other: &[u8]) -> bool {
    let differs = one.iter().zip(other).fold(0, |d, (a, b)| d | (a ^ b));
    std::hint::black_box(differs) == 0 && one.len() == other.len()
}
