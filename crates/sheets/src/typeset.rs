//! From a template and data to a document: PDF, and pictures of its pages.
//!
//! A template sees its own source, `common.typ`, the program's fonts and one `/data.json`; every
//! other file is denied, there is no clock and nothing is evaluated as code.

use serde::Serialize;
use serde_json::{Map, Value};
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::{Page, PagedDocument};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use typst_render::RenderOptions;

use crate::fonts;
use crate::ink::{Role, Theme, colour};

/// Why a document could not be made. Nothing of it was written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// The layout failed.
    #[error(
        "the {document} could not be laid out ({reason}); nothing was written. This is a fault of the program: please report it"
    )]
    Layout {
        /// Which document.
        document: &'static str,
        /// What the layout said.
        reason: String,
    },
    /// The PDF failed.
    #[error(
        "the {document} could not be written as PDF ({reason}); nothing was written. This is a fault of the program: please report it"
    )]
    Pdf {
        /// Which document.
        document: &'static str,
        /// What the writer said.
        reason: String,
    },
    /// There is no such page.
    #[error("the {document} has {pages} pages; there is no page {asked}")]
    NoSuchPage {
        /// Which document.
        document: &'static str,
        /// How many it has.
        pages: usize,
        /// Which was asked for, from 1.
        asked: usize,
    },
}

/// Something to tell the person who prints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Warning {
    /// Letters no bundled font has: they print as boxes.
    NoLetters {
        /// The text they stand in.
        text: String,
        /// The letters.
        characters: Vec<char>,
    },
    /// The PDF is tagged, but does not meet PDF/UA-1.
    NotFullyAccessible {
        /// What the standard wants.
        reason: String,
    },
}

impl std::fmt::Display for Warning {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoLetters { text, characters } => {
                let list: Vec<String> =
                    characters.iter().map(|c| format!("{c} (U+{:04X})", u32::from(*c))).collect();
                write!(
                    out,
                    "\u{201c}{text}\u{201d} holds characters that no font here can print, so boxes stand for them: {}. Write it with other letters and print again.",
                    list.join(", ")
                )
            }
            Self::NotFullyAccessible { reason } => {
                write!(
                    out,
                    "The PDF prints as it should, but a screen reader may not read all of it: {reason}."
                )
            }
        }
    }
}

/// A document as PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// The bytes of the file.
    pub pdf: Vec<u8>,
    /// What to tell the person who prints.
    pub warnings: Vec<Warning>,
}

/// The picture of one page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Preview {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Red, green, blue, alpha of each pixel, row by row; pages are opaque.
    pub rgba: Vec<u8>,
}

/// A document laid out: the same pages give the PDF and the preview.
pub struct Document {
    name: &'static str,
    pages: PagedDocument,
    warnings: Vec<Warning>,
}

impl Document {
    /// How many pages it has.
    pub fn page_count(&self) -> usize {
        self.pages.pages().len()
    }

    /// The PDF: PDF/UA-1 where it can be met, else tagged as well as can be, with a warning.
    ///
    /// # Errors
    /// The writer failed: a fault of the program.
    pub fn pdf(&self) -> Result<Printed, SheetError> {
        let mut warnings = self.warnings.clone();
        let accessible = PdfStandards::new(&[PdfStandard::Ua_1])
            .map_err(|refused| refused.message().to_string())
            .and_then(|standards| self.export(standards));
        let pdf = match accessible {
            Ok(pdf) => pdf,
            Err(reason) => {
                warnings.push(Warning::NotFullyAccessible { reason });
                self.export(PdfStandards::default())
                    .map_err(|reason| SheetError::Pdf { document: self.name, reason })?
            }
        };
        Ok(Printed { pdf, warnings })
    }

    fn export(&self, standards: PdfStandards) -> Result<Vec<u8>, String> {
        let creator = Smart::Custom(Some("Pacewright".into()));
        let options = PdfOptions { creator, standards, ..PdfOptions::default() };
        typst_pdf::pdf(&self.pages, &options).map_err(|errors| sentence(&errors))
    }

    /// A picture of a page, counted from 1, at a resolution in dots an inch.
    ///
    /// # Errors
    /// There is no such page.
    pub fn preview(&self, page: usize, dots_per_inch: u32) -> Result<Preview, SheetError> {
        let picture = typst_render::render(self.page(page)?, &render_options(dots_per_inch));
        Ok(Preview { width: picture.width(), height: picture.height(), rgba: picture.take() })
    }

    /// The same picture as a PNG file.
    ///
    /// # Errors
    /// There is no such page, or the picture could not be packed.
    pub fn png(&self, page: usize, dots_per_inch: u32) -> Result<Vec<u8>, SheetError> {
        let picture = typst_render::render(self.page(page)?, &render_options(dots_per_inch));
        picture
            .encode_png()
            .map_err(|error| SheetError::Layout { document: self.name, reason: error.to_string() })
    }

    fn page(&self, number: usize) -> Result<&Page, SheetError> {
        let missing =
            SheetError::NoSuchPage { document: self.name, pages: self.page_count(), asked: number };
        number.checked_sub(1).and_then(|index| self.pages.pages().get(index)).ok_or(missing)
    }
}

/// Typst counts in points, 72 to the inch.
fn render_options(dots_per_inch: u32) -> RenderOptions {
    RenderOptions { pixel_per_pt: (f64::from(dots_per_inch) / 72.0).into(), render_bleed: false }
}

/// Which document: its name in sentences and its source.
pub(crate) struct Template {
    pub(crate) name: &'static str,
    pub(crate) source: &'static str,
}

/// A name with what a template needs to fit it into its room.
#[derive(Serialize)]
pub(crate) struct Name {
    text: String,
    /// Width of the whole, in em of the regular face.
    wide: f64,
    /// Width of the longest piece that does not break over lines, in em.
    longest: f64,
}

impl Name {
    pub(crate) fn of(name: &str) -> Self {
        // Chinese, Japanese and Korean break anywhere
        let breaks = |c: char| {
            c.is_whitespace()
                || matches!(c, '\u{1100}'..='\u{11ff}' | '\u{2e80}'..='\u{d7ff}' | '\u{f900}'..='\u{faff}')
        };
        let longest =
            name.split(breaks).map(|piece| fonts::text_width(piece, 1.0)).fold(1.0, f64::max);
        Self { text: name.to_owned(), wide: fonts::text_width(name, 1.0), longest }
    }
}

/// Lays out a document from its facts.
pub(crate) fn typeset(template: &Template, facts: &impl Serialize) -> Result<Document, SheetError> {
    let failed = |reason: String| SheetError::Layout { document: template.name, reason };
    let mut data = serde_json::to_value(facts).map_err(|error| failed(error.to_string()))?;
    let mut warnings = Vec::new();
    find_unprintable(&data, &mut warnings);
    if let Value::Object(members) = &mut data {
        let _ = members.insert("inks".to_owned(), inks());
        let _ = members.insert("fonts".to_owned(), fonts::families().into());
    }
    let world = Sealed::new(template.source, &data).map_err(failed)?;
    let compiled = typst::compile::<PagedDocument>(&world);
    // What later documents share stays warm; what only this one held is let go.
    typst::comemo::evict(4);
    let pages = compiled.output.map_err(|errors| failed(sentence(&errors)))?;
    Ok(Document { name: template.name, pages, warnings })
}

fn inks() -> Value {
    let entry = |role: Role| {
        Some((
            serde_json::to_value(role).ok()?.as_str()?.to_owned(),
            colour(role, Theme::Print).hex().into(),
        ))
    };
    Value::Object(Role::all().filter_map(entry).collect::<Map<_, _>>())
}

/// Every text of the data is looked at, so that no document can forget one.
fn find_unprintable(data: &Value, warnings: &mut Vec<Warning>) {
    match data {
        Value::String(text) => {
            let characters = fonts::unprintable(text);
            let warning = Warning::NoLetters { text: text.clone(), characters };
            let found =
                matches!(&warning, Warning::NoLetters { characters, .. } if !characters.is_empty());
            if found && !warnings.contains(&warning) {
                warnings.push(warning);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| find_unprintable(item, warnings)),
        Value::Object(members) => {
            members.values().for_each(|member| find_unprintable(member, warnings));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn sentence(errors: &[SourceDiagnostic]) -> String {
    errors.first().map_or_else(|| "no reason given".to_owned(), |error| error.message.to_string())
}

/// The only files there are.
struct Sealed {
    library: LazyHash<Library>,
    main: Source,
    common: Source,
    data: (FileId, Bytes),
}

impl Sealed {
    fn new(source: &str, data: &Value) -> Result<Self, String> {
        let id = |name: &str| {
            let path = VirtualPath::new(name).map_err(|error| error.to_string())?;
            Ok::<_, String>(RootedPath::new(VirtualRoot::Project, path).intern())
        };
        let common = include_str!("../../../assets/documents/common.typ");
        let bytes = serde_json::to_vec(data).map_err(|error| error.to_string())?;
        Ok(Self {
            library: LazyHash::new(Library::default()),
            main: Source::new(id("/main.typ")?, source.to_owned()),
            common: Source::new(id("/common.typ")?, common.to_owned()),
            data: (id("/data.json")?, Bytes::new(bytes)),
        })
    }
}

impl World for Sealed {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &fonts::BOOK
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let sources = [&self.main, &self.common];
        sources.into_iter().find(|source| source.id() == id).cloned().ok_or(FileError::AccessDenied)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 { Ok(self.data.1.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts::FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
