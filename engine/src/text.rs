//! Small helpers for texts that people write: near misses and splitting.

/// The candidate nearest to `word`, if it is near enough to be meant ("did you mean").
///
/// Nearness is the number of single-letter edits and swaps of neighbours (optimal string
/// alignment), at most a third of the word's letters and at most three, without regard to case. Of two that are as
/// near, the one of the same letters is meant: a slip of two fingers, `cmf` for `cfm`.
pub fn closest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    let limit = (word.chars().count() / 3).clamp(1, 3);
    let mut best: Option<((usize, bool), &'a str)> = None;
    for candidate in candidates {
        let plain = candidate.to_lowercase();
        let far = (edits(&word, &plain), letters(&word) != letters(&plain));
        if far.0 <= limit && best.is_none_or(|(d, _)| far < d) {
            best = Some((far, candidate));
        }
    }
    best.map(|(_, c)| c)
}

fn letters(text: &str) -> Vec<char> {
    let mut letters: Vec<char> = text.chars().collect();
    letters.sort_unstable();
    letters
}

fn edits(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let width = b.len() + 1;
    let mut d: Vec<usize> = vec![0; (a.len() + 1) * width];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            d[i * width + j] = if i == 0 {
                j
            } else if j == 0 {
                i
            } else {
                let change = usize::from(a[i - 1] != b[j - 1]);
                let mut best = (d[(i - 1) * width + j] + 1)
                    .min(d[i * width + j - 1] + 1)
                    .min(d[(i - 1) * width + j - 1] + change);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    best = best.min(d[(i - 2) * width + j - 2] + 1);
                }
                best
            };
        }
    }
    d[a.len() * width + b.len()]
}

/// Splits at the first separator of the list that occurs.
pub fn split_once_any<'a>(text: &'a str, separators: &[&str]) -> Option<(&'a str, &'a str)> {
    separators.iter().find_map(|s| text.split_once(s))
}

/// A number with about `digits` significant digits, without zeros at its end, as `1000` or `0.0008`.
pub fn digits(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return value.to_string();
    }
    let written = format!("{value:.*e}", digits.saturating_sub(1));
    // What was just written is a number.
    written.parse::<f64>().map_or(written, |rounded| rounded.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_counted_from_the_first() {
        assert_eq!(
            [digits(1000.04, 4), digits(0.000_812_34, 3), digits(-2.0, 4)],
            ["1000", "0.000812", "-2"]
        );
    }

    #[test]
    fn near_misses_are_found_and_far_ones_are_not() {
        assert_eq!(closest("bedrom", ["bedroom", "attic"]), Some("bedroom"));
        assert_eq!(closest("atitc", ["bedroom", "attic"]), Some("attic"));
        assert_eq!(closest("cmf", ["cmh", "cfm"]), Some("cfm"));
        assert_eq!(closest("garage", ["bedroom", "attic"]), None);
    }
}
