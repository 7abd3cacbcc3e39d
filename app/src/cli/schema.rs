//! `airwright schema`.

use super::data;
use anyhow::Result;

/// Prints the schemas.
pub(crate) fn run() -> Result<u8> {
    data(&format!("{:#}\n", api::schemas()));
    Ok(0)
}
