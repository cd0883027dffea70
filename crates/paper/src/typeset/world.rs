//! What the typesetter sees: the template of what is printed, one file of data, and two fonts. No disk, no clock, no network.

use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Feature, Library, LibraryExt};

/// The letters of all that is printed; their licence stands beside them.
const FONTS: [&[u8]; 2] = [
    include_bytes!("../../fonts/DejaVuSansCondensed.ttf"),
    include_bytes!("../../fonts/DejaVuSansCondensed-Bold.ttf"),
];

/// What is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Template {
    /// The sheet of a machine.
    Sheet,
    /// The card of a procedure.
    Card,
}

/// What all of them share.
struct Shared {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    sheet: Source,
    card: Source,
}

static SHARED: LazyLock<Shared> = LazyLock::new(|| {
    let fonts: Vec<Font> =
        FONTS.into_iter().filter_map(|font| Font::new(Bytes::new(font), 0)).collect();
    // The first cell of a row is its heading: that is told to who reads by ear by a part of the library that may change.
    let features = std::iter::once(Feature::A11yExtras).collect();
    Shared {
        library: LazyHash::new(Library::builder().with_features(features).build()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
        sheet: Source::detached(include_str!("../sheet/pdf/sheet.typ")),
        card: Source::detached(include_str!("../card/pdf/card.typ")),
    }
});

/// Whether there is a shape for a letter, upright and not bold: bold ones that are missing borrow it.
pub(super) fn has(c: char) -> bool {
    SHARED.fonts.first().is_some_and(|font| font.info().coverage.contains(c.into()))
}

/// One template with its data.
pub(super) struct World {
    template: Template,
    data: Bytes,
}

impl World {
    /// With its data; `None` if the fonts cannot be read.
    pub fn new(template: Template, data: Vec<u8>) -> Option<World> {
        (SHARED.fonts.len() == FONTS.len()).then(|| World { template, data: Bytes::new(data) })
    }

    fn text(&self) -> &'static Source {
        match self.template {
            Template::Sheet => &SHARED.sheet,
            Template::Card => &SHARED.card,
        }
    }
}

impl typst::World for World {
    fn library(&self) -> &LazyHash<Library> {
        &SHARED.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &SHARED.book
    }

    fn main(&self) -> FileId {
        self.text().id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main() { Ok(self.text().clone()) } else { Err(missing(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        match id.get().vpath().get_without_slash() {
            "data.json" => Ok(self.data.clone()),
            _ => Err(missing(id)),
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        SHARED.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_without_slash().into())
}
