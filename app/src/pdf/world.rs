//! What a sheet may ask of its surroundings while it is set: its own text and the fonts. No file, no package,
//! no network, no clock.

use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
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
        library: LazyHash::new(
            Library::builder().with_features([Feature::A11yExtras].into_iter().collect()).build(),
        ),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

/// Whether one of the fonts has a sign for a letter.
pub(super) fn has(c: char) -> bool {
    // Joins and breaks have no sign of their own.
    matches!(c, '\u{200b}' | '\u{200d}')
        || COMMON.fonts.iter().any(|f| f.info().coverage.contains(u32::from(c)))
}

/// One sheet.
pub(super) struct Desk {
    text: Source,
}

impl Desk {
    pub(super) fn new(text: String) -> Desk {
        Desk { text: Source::detached(text) }
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &COMMON.library
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
