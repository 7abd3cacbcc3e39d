//! From bytes to lines to cells, with bounded memory whatever the bytes are.
//!
//! Decoding is `encoding_rs`'s, quoting `csv-core`'s; what is added here are the bounds: a line that
//! does not end and a quote that does not close cost one row, not the memory and not the rest of
//! the file.

use encoding_rs::{CoderResult, Decoder, Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::collections::VecDeque;
use std::io::{self, Read};

/// Longest line that is read; longer ones are refused.
pub const LONGEST_LINE: usize = 1 << 20;
/// A quoted cell goes over at most so many lines.
const MOST_JOINED: usize = 16;
/// Most cells of a row.
const MOST_CELLS: usize = 4096;
const BLOCK: usize = 1 << 16;

/// The encodings a mapping can name. Latin-1 is read as its superset windows-1252.
pub const ENCODINGS: &[(&str, &Encoding)] =
    &[("utf-8", UTF_8), ("utf-16le", UTF_16LE), ("utf-16be", UTF_16BE), ("windows-1252", WINDOWS_1252)];

/// The encoding of bytes, by mark or by look.
pub fn encoding_of(head: &[u8]) -> &'static str {
    let name = |e: &'static Encoding| ENCODINGS.iter().find(|(_, known)| *known == e).map(|(n, _)| *n);
    if let Some(name) = Encoding::for_bom(head).and_then(|(e, _)| name(e)) {
        return name;
    }
    // Text of the west in UTF-16 has a zero in every other byte.
    let zeros = |from: usize| head.iter().skip(from).step_by(2).take(500).filter(|b| **b == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let half = head.len().min(1000) / 2;
    if half > 8 && odd * 10 > half * 8 && even * 10 < half {
        return "utf-16le";
    }
    if half > 8 && even * 10 > half * 8 && odd * 10 < half {
        return "utf-16be";
    }
    match std::str::from_utf8(head) {
        Ok(_) => "utf-8",
        // Cut within a letter.
        Err(error) if error.error_len().is_none() => "utf-8",
        Err(_) => "windows-1252",
    }
}

/// A line as read.
#[derive(Debug, PartialEq, Eq)]
pub enum Line<'a> {
    /// Its text, without its end.
    Text(&'a str),
    /// Longer than [`LONGEST_LINE`]; passed over.
    TooLong,
}

/// Lines of a source.
pub struct Lines<R> {
    source: R,
    decoder: Decoder,
    raw: Vec<u8>,
    /// Bytes of `raw` not yet decoded.
    left: (usize, usize),
    text: String,
    /// First byte of `text` not yet given out.
    at: usize,
    ended: bool,
    finished: bool,
    /// What ends a line: some old devices end it with a carriage return alone.
    end: Option<char>,
    line: String,
    number: usize,
}

impl<R: Read> Lines<R> {
    /// Lines of `source` in an encoding of [`ENCODINGS`]; an unknown one is read as UTF-8.
    pub fn new(source: R, encoding: &str) -> Lines<R> {
        let found = ENCODINGS.iter().find(|(n, _)| *n == encoding).map_or(UTF_8, |(_, e)| *e);
        Lines {
            source,
            decoder: found.new_decoder_with_bom_removal(),
            raw: vec![0; BLOCK],
            left: (0, 0),
            text: String::with_capacity(4 * BLOCK),
            at: 0,
            ended: false,
            finished: false,
            end: None,
            line: String::new(),
            number: 0,
        }
    }

    /// Number of the line given out last, from 1.
    pub fn number(&self) -> usize {
        self.number
    }

    fn fill(&mut self) -> io::Result<()> {
        self.text.clear();
        self.at = 0;
        while self.text.is_empty() && !self.finished {
            if self.left.0 == self.left.1 && !self.ended {
                let n = loop {
                    match self.source.read(&mut self.raw) {
                        Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                        other => break other?,
                    }
                };
                self.left = (0, n);
                self.ended = n == 0;
            }
            let bytes = self.raw.get(self.left.0..self.left.1).unwrap_or(&[]);
            let (result, read, _) = self.decoder.decode_to_string(bytes, &mut self.text, self.ended);
            self.left.0 += read;
            self.finished = self.ended && result == CoderResult::InputEmpty;
        }
        if self.end.is_none() && !self.text.is_empty() {
            let lone = self.text.contains('\r') && !self.text.contains('\n');
            self.end = Some(if lone { '\r' } else { '\n' });
        }
        Ok(())
    }

    /// The next line; nothing at the end.
    ///
    /// # Errors
    /// What the source says.
    pub fn next_line(&mut self) -> io::Result<Option<Line<'_>>> {
        self.line.clear();
        let mut long = false;
        let mut any = false;
        loop {
            if self.at >= self.text.len() {
                self.fill()?;
                if self.text.is_empty() {
                    if !any {
                        return Ok(None);
                    }
                    break;
                }
            }
            any = true;
            let end = self.end.unwrap_or('\n');
            let rest = self.text.get(self.at..).unwrap_or("");
            let cut = rest.find(end);
            let part = rest.get(..cut.unwrap_or(rest.len())).unwrap_or("");
            self.at += part.len() + usize::from(cut.is_some());
            if long || self.line.len() + part.len() > LONGEST_LINE {
                long = true;
            } else {
                self.line.push_str(part);
            }
            if cut.is_some() {
                break;
            }
        }
        self.number += 1;
        if long {
            self.line = String::new();
            return Ok(Some(Line::TooLong));
        }
        if self.line.ends_with('\r') {
            self.line.pop();
        }
        Ok(Some(Line::Text(&self.line)))
    }
}

/// The cells of one row.
#[derive(Debug, Default)]
pub struct Cells {
    text: String,
    ends: Vec<usize>,
    count: usize,
    /// Letters between a cell's end and the start of the next: one in a line that was not quoted.
    gap: usize,
}

impl Cells {
    /// How many.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// One of them, without blanks around it.
    pub fn get(&self, at: usize) -> Option<&str> {
        if at >= self.count {
            return None;
        }
        let from = if at == 0 { 0 } else { self.ends[at - 1] + self.gap };
        self.text.get(from..self.ends[at]).map(str::trim)
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.count).filter_map(|i| self.get(i))
    }
}

/// Splits a line into cells; false where a quote is left open. Cells beyond the most are dropped.
pub struct Splitter {
    core: csv_core::Reader,
    out: Vec<u8>,
    ends: Vec<usize>,
    delimiter: u8,
}

impl Splitter {
    /// Cells between `delimiter`s.
    pub fn new(delimiter: u8) -> Splitter {
        let core = csv_core::ReaderBuilder::new().delimiter(delimiter).build();
        Splitter { core, out: Vec::new(), ends: vec![0; MOST_CELLS], delimiter }
    }

    /// Splits.
    pub fn split(&mut self, line: &str, cells: &mut Cells) -> bool {
        cells.text.clear();
        cells.ends.clear();
        cells.count = 0;
        if !line.as_bytes().contains(&b'"') {
            // Nothing is quoted, so nothing needs copying cell by cell.
            cells.text.push_str(line);
            let marks = line.bytes().enumerate().filter(|(_, b)| *b == self.delimiter);
            cells.ends.extend(marks.map(|(at, _)| at).take(MOST_CELLS - 1));
            cells.ends.push(line.len());
            cells.count = cells.ends.len();
            cells.gap = 1;
            return true;
        }
        cells.gap = 0;
        self.core.reset();
        let need = line.len() + 2;
        if self.out.len() < need {
            self.out.resize(need, 0);
        }
        let (result, _, wrote, ended) = self.core.read_record(line.as_bytes(), &mut self.out, &mut self.ends);
        let (mut wrote, mut ended) = (wrote, ended);
        let mut whole = matches!(result, csv_core::ReadRecordResult::Record);
        if matches!(result, csv_core::ReadRecordResult::InputEmpty) {
            let out = self.out.get_mut(wrote..).unwrap_or(&mut []);
            let ends = self.ends.get_mut(ended..).unwrap_or(&mut []);
            let (result, _, w, e) = self.core.read_record(b"\n", out, ends);
            wrote += w;
            ended += e;
            whole = matches!(result, csv_core::ReadRecordResult::Record);
        }
        let bytes = self.out.get(..wrote).unwrap_or(&[]);
        cells.text.push_str(&String::from_utf8_lossy(bytes));
        // Lossy changes nothing: cuts lie at ASCII marks. Were it otherwise, ends are kept inside.
        let len = cells.text.len();
        cells.ends.extend(self.ends.iter().take(ended).map(|e| (*e).min(len)));
        cells.count = ended;
        whole
    }
}

/// One row or what was in its place.
#[derive(Debug, PartialEq, Eq)]
pub enum Taken {
    /// Cells were split; the line it began on.
    Row(usize),
    /// A line too long.
    TooLong(usize),
    /// A quote that does not close; the line is passed over.
    Open(usize),
}

/// Rows of a delimited source.
pub struct Rows<R> {
    lines: Lines<R>,
    splitter: Splitter,
    /// Lines read ahead while a quote was open.
    ahead: VecDeque<(usize, Option<String>)>,
    /// The cells of the row taken last.
    pub cells: Cells,
}

impl<R: Read> Rows<R> {
    /// Rows of lines.
    pub fn new(lines: Lines<R>, delimiter: u8) -> Rows<R> {
        Rows { lines, splitter: Splitter::new(delimiter), ahead: VecDeque::new(), cells: Cells::default() }
    }

    /// The next row that is not empty; nothing at the end.
    ///
    /// # Errors
    /// What the source says.
    pub fn take(&mut self) -> io::Result<Option<Taken>> {
        loop {
            if let Some((number, line)) = self.ahead.pop_front() {
                let Some(line) = line else { return Ok(Some(Taken::TooLong(number))) };
                if line.trim().is_empty() {
                    continue;
                }
                if self.splitter.split(&line, &mut self.cells) {
                    return Ok(Some(Taken::Row(number)));
                }
                return self.join(number, line).map(Some);
            }
            match self.lines.next_line()? {
                None => return Ok(None),
                Some(Line::TooLong) => return Ok(Some(Taken::TooLong(self.lines.number()))),
                Some(Line::Text(line)) if line.trim().is_empty() => {}
                Some(Line::Text(line)) => {
                    if self.splitter.split(line, &mut self.cells) {
                        return Ok(Some(Taken::Row(self.lines.number())));
                    }
                    let line = line.to_owned();
                    return self.join(self.lines.number(), line).map(Some);
                }
            }
        }
    }

    /// A quote is open: tries with the next lines; where it does not close they are read by themselves.
    fn join(&mut self, number: usize, first: String) -> io::Result<Taken> {
        let mut whole = first;
        for at in 0..MOST_JOINED {
            if self.ahead.len() <= at {
                let next = match self.lines.next_line()? {
                    None => break,
                    Some(Line::TooLong) => None,
                    Some(Line::Text(line)) => Some(line.to_owned()),
                };
                self.ahead.push_back((self.lines.number(), next));
            }
            let Some((_, Some(next))) = self.ahead.get(at) else { break };
            if whole.len() + next.len() > LONGEST_LINE {
                break;
            }
            whole.push('\n');
            whole.push_str(next);
            if self.splitter.split(&whole, &mut self.cells) {
                self.ahead.drain(..=at);
                return Ok(Taken::Row(number));
            }
        }
        Ok(Taken::Open(number))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(bytes: &[u8], encoding: &str) -> Vec<String> {
        let mut lines = Lines::new(bytes, encoding);
        let mut out = Vec::new();
        while let Some(line) = lines.next_line().unwrap() {
            out.push(match line {
                Line::Text(t) => t.to_owned(),
                Line::TooLong => "(long)".to_owned(),
            });
        }
        out
    }

    fn rows(text: &str, delimiter: u8) -> Vec<String> {
        let mut rows = Rows::new(Lines::new(text.as_bytes(), "utf-8"), delimiter);
        let mut out = Vec::new();
        while let Some(taken) = rows.take().unwrap() {
            out.push(match taken {
                Taken::Row(n) => format!("{n}:{}", rows.cells.iter().collect::<Vec<_>>().join("/")),
                other => format!("{other:?}"),
            });
        }
        out
    }

    #[test]
    fn every_encoding_gives_the_same_lines() {
        let text = "caf\u{e9};\u{b0}C\r\n20,5;\u{b5}g\r\n";
        let wide: Vec<u16> = text.encode_utf16().collect();
        let le: Vec<u8> = wide.iter().flat_map(|u| u.to_le_bytes()).collect();
        let be: Vec<u8> = [0xfeff_u16].iter().chain(&wide).flat_map(|u| u.to_be_bytes()).collect();
        let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
        let marked = ["\u{feff}", text].concat();
        for bytes in [text.as_bytes(), marked.as_bytes(), &le, &be, &latin] {
            let encoding = encoding_of(bytes);
            assert_eq!(lines(bytes, encoding), ["caf\u{e9};\u{b0}C", "20,5;\u{b5}g"], "{encoding}");
        }
        assert_eq!(encoding_of(&latin), "windows-1252");
        assert_eq!(lines(b"a\rb\rc", "utf-8"), ["a", "b", "c"]);
        assert_eq!(lines(b"", "utf-8"), Vec::<String>::new());
    }

    #[test]
    fn long_lines_cost_themselves_alone() {
        let text = format!("a\n{}\nb", "x".repeat(10 << 20));
        assert_eq!(lines(text.as_bytes(), "utf-8"), ["a", "(long)", "b"]);
    }

    #[test]
    fn quotes_join_lines_or_cost_one_row() {
        let text = "a,\"b,\"\"c\"\"\",d\n\n1,\"two\nlines\",3\n4,\"open,5\n6,7\n";
        assert_eq!(rows(text, b','), ["1:a/b,\"c\"/d", "3:1/two\nlines/3", "Open(5)", "6:6/7"]);
        assert_eq!(rows("a;;b\n;\n", b';'), ["1:a//b", "2:/"]);
    }
}
