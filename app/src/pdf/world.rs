//! What a sheet may ask of its surroundings while it is set: its own text and photos, and the fonts. No file, no package,
//! no network, no clock.

use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Dict, Duration, Str, Value};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Feature, Library, LibraryExt, World};

/// Everything that is the same for all sheets.
struct Common {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static COMMON: LazyLock<Common> = LazyLock::new(|| {
    // Narrow enough for tables, and with every sign that pages use.
    let files: [&'static [u8]; 4] = [
        dejavu::sans_condensed::regular(),
        dejavu::sans_condensed::bold(),
        dejavu::sans_condensed::oblique(),
        dejavu::sans_mono::regular(),
    ];
    let fonts: Vec<Font> = files.into_iter().flat_map(|f| Font::iter(Bytes::new(f))).collect();
    Common {
        // Heads of rows are told from data (`pdf.header-cell`).
        library: LazyHash::new(library(Dict::new())),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

/// The library with what a text may ask for as `sys.inputs`.
fn library(inputs: Dict) -> Library {
    let features = [Feature::A11yExtras].into_iter().collect();
    Library::builder().with_inputs(inputs).with_features(features).build()
}

/// Whether one of the fonts has a sign for a letter.
pub(super) fn has(c: char) -> bool {
    // Joins and breaks have no sign of their own.
    matches!(c, '\u{200b}' | '\u{200d}')
        || COMMON.fonts.iter().any(|f| f.info().coverage.contains(u32::from(c)))
}

/// One sheet.
pub(super) struct Desk {
    text: Source,
    /// With the photos of the sheet, where it has any.
    library: Option<LazyHash<Library>>,
}

impl Desk {
    pub(super) fn new(text: String, pictures: &[Bytes]) -> Desk {
        let named =
            |(at, bytes): (usize, &Bytes)| (Str::from(format!("photo-{at}")), Value::Bytes(bytes.clone()));
        let inputs = || pictures.iter().enumerate().map(named).collect::<Dict>();
        let library = (!pictures.is_empty()).then(|| LazyHash::new(library(inputs())));
        Desk { text: Source::detached(text), library }
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        self.library.as_ref().unwrap_or(&COMMON.library)
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &COMMON.book
    }

    fn main(&self) -> FileId {
        self.text.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.text.id() { Ok(self.text.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Err(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        COMMON.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
