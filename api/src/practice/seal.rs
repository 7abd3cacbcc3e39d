//! The hidden truth in a form that nobody reads by chance: the document of the practice house and the
//! seed, stirred with a fixed stream, in base64, with a hash. It is no secret; it is out of sight.

use engine::rng::Stream;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What is sealed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Hidden {
    /// The document of the practice house.
    pub(super) document: String,
    /// The seed.
    pub(super) seed: u64,
}

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

fn stirred(bytes: &[u8]) -> Vec<u8> {
    let mut stream = Stream::new(64, "practice seal");
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below 256 and not negative")]
    let mut next = || (stream.uniform() * 256.0) as u8;
    bytes.iter().map(|b| b ^ next()).collect()
}

fn base64(bytes: &[u8]) -> String {
    let mut out = String::new();
    for chunk in bytes.chunks(3) {
        let part = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let all = part(0) << 16 | part(1) << 8 | part(2);
        for i in 0..4 {
            let letter = LETTERS[usize::try_from(all >> (18 - 6 * i) & 63).unwrap_or(0)];
            out.push(if i <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

fn unbase64(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    let (mut held, mut bits) = (0_u32, 0);
    for b in text.bytes().filter(|b| !b.is_ascii_whitespace() && *b != b'=') {
        held = held << 6 | u32::try_from(LETTERS.iter().position(|l| *l == b)?).ok()?;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            out.push(u8::try_from(held >> bits & 255).ok()?);
            held &= (1 << bits) - 1;
        }
    }
    Some(out)
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// The text, and its hash.
pub(super) fn close(hidden: &Hidden) -> (String, String) {
    let bytes = serde_json::to_vec(hidden).unwrap_or_default();
    (base64(&stirred(&bytes)), hash(&bytes))
}

/// What is in it; nothing where it was touched.
pub(super) fn open(sealed: &str, seal: &str) -> Option<Hidden> {
    let bytes = stirred(&unbase64(sealed)?);
    if hash(&bytes) != seal {
        return None;
    }
    serde_json::from_slice(&bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_as_rfc_4648_has_it() {
        // The vectors of section 10.
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, code) in vectors {
            assert_eq!(base64(plain.as_bytes()), code);
            assert_eq!(unbase64(code).unwrap(), plain.as_bytes());
        }
    }

    #[test]
    fn what_was_sealed_opens_and_what_was_touched_does_not() {
        let hidden = Hidden { document: "a secret \u{f1}".to_owned(), seed: 7 };
        let (text, seal) = close(&hidden);
        assert_eq!(open(&text, &seal), Some(hidden));
        let plain = String::from_utf8_lossy(&unbase64(&text).unwrap()).into_owned();
        assert!(!plain.contains("secret"));
        assert_eq!(open(&text.replacen('A', "B", 1).replacen('k', "m", 1), &seal), None);
        assert_eq!(open("!", &seal), None);
    }
}
