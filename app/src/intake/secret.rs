//! Secrets from where the document says they are; never logged, never part of an address.

use engine::doc::watch::Secret;
use std::path::Path;

/// Longest secret, bytes.
const LONGEST: u64 = 16 << 10;

/// Reads a secret; without the line break that editors put at the end.
///
/// # Errors
///
/// What is missing, without anything of the secret in it.
pub(crate) fn read(secret: &Secret, job: &Path) -> Result<String, String> {
    let found = match secret {
        Secret::File(path) => {
            let path = job.join(&path.value);
            let said = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
            if std::fs::metadata(&path).map_err(|e| said(&e))?.len() > LONGEST {
                return Err(said(&"too long for a secret"));
            }
            std::fs::read_to_string(&path).map_err(|e| said(&e))?
        }
        Secret::Environment(name) => std::env::var_os(&name.value)
            .and_then(|v| v.into_string().ok())
            .ok_or_else(|| format!("environment variable `{}` is not set", name.value))?,
    };
    let found = found.trim_end_matches(['\r', '\n']).to_owned();
    if found.is_empty() || found.contains(['\r', '\n', '\0']) {
        let name = match secret {
            Secret::File(name) | Secret::Environment(name) => &name.value,
        };
        return Err(format!("`{name}` holds no secret of one line"));
    }
    Ok(found)
}

/// Whether two secrets are the same, in a time that does not tell how far they agree.
pub(crate) fn same(one: &[u8], other: &[u8]) -> bool {
    let differs = one.iter().zip(other).fold(0, |d, (a, b)| d | (a ^ b));
    std::hint::black_box(differs) == 0 && one.len() == other.len()
}
