//! The archive that a workbook is, and its parts as XML, unpacked piece by piece within limits.

use std::cell::Cell;
use std::collections::HashMap;
use std::io::{self, BufReader, Cursor, Read};

use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion, escape};
use zip::ZipArchive;
use zip::read::ZipFile;
use zip::result::ZipError;

use crate::brief::list_table::ListFault;
use crate::units::show;

/// Most parts of a workbook; one of a hundred sheets with pictures has some hundreds. Own choice.
const MAX_PARTS: usize = 5_000;
/// Most bytes that all parts which are read unpack to: a sheet of a hundred thousand rows has some 40 MB. Own choice.
const MAX_UNPACKED_BYTES: u64 = 160_000_000;
/// Most elements within each other; a sheet needs ten. Own choice.
const MAX_DEPTH: usize = 200;
/// Most bytes of one text or tag: a cell holds at most 32,767 letters. Own choice.
const MAX_PIECE_BYTES: usize = 1_000_000;

/// A workbook's archive.
pub(super) struct Archive<'a> {
    zip: ZipArchive<Cursor<&'a [u8]>>,
    /// Parts by their names in small letters with `/`, since some writers are free with both.
    names: HashMap<String, usize>,
    /// Bytes that may still be unpacked.
    left: Cell<u64>,
}

impl<'a> Archive<'a> {
    /// Opens a workbook.
    ///
    /// # Errors
    /// When it is no sound archive, or has too many parts.
    pub(super) fn open(bytes: &'a [u8]) -> Result<Archive<'a>, ListFault> {
        let zip = ZipArchive::new(Cursor::new(bytes)).map_err(|_| damaged())?;
        if zip.len() > MAX_PARTS {
            let what = format!("the workbook has {} parts; the most is {MAX_PARTS}", zip.len());
            return Err(ListFault::new(what, "save the sheet with the prints as a workbook of its own"));
        }
        let names = (0..zip.len()).filter_map(|index| {
            let name = zip.name_for_index(index)?.ok()?;
            Some((plain(&name), index))
        });
        Ok(Archive { names: names.collect(), left: Cell::new(MAX_UNPACKED_BYTES), zip })
    }

    /// True if there is a part of this name.
    pub(super) fn has(&self, name: &str) -> bool {
        self.names.contains_key(&plain(name))
    }

    /// Returns a part, to be read as XML; nothing where there is none.
    ///
    /// # Errors
    /// When it is locked or packed in a way that workbooks are not.
    pub(super) fn part(&mut self, name: &str) -> Result<Option<XmlPart<'_, 'a>>, ListFault> {
        let Some(index) = self.names.get(&plain(name)) else { return Ok(None) };
        let file = self.zip.by_index(*index).map_err(|error| match error {
            ZipError::UnsupportedArchive(_) => ListFault::new(
                "the workbook is locked, or packed in an unusual way",
                "save it again without a password",
            ),
            _ => damaged(),
        })?;
        let mut reader = Reader::from_reader(BufReader::new(Unpacked { file, left: &self.left, piece: 0 }));
        let config = reader.config_mut();
        config.expand_empty_elements = true;
        config.check_end_names = false;
        Ok(Some(XmlPart { reader, buffer: Vec::new(), depth: 0 }))
    }
}

/// Returns a name of a part without the freedoms that writers take.
fn plain(name: &str) -> String {
    name.replace('\\', "/").trim_start_matches('/').to_lowercase()
}

pub(super) fn damaged() -> ListFault {
    ListFault::new(
        "the picture list is not a sound workbook (XLSX or ODS)",
        "open it in a spreadsheet program and save it as XLSX",
    )
}

/// The bytes of a part, counted.
struct Unpacked<'p, 'a> {
    file: ZipFile<'p, Cursor<&'a [u8]>>,
    left: &'p Cell<u64>,
    /// Bytes since the last piece of XML.
    piece: usize,
}

impl Read for Unpacked<'_, '_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.file.read(into)?;
        self.piece += count;
        let left = self.left.get().checked_sub(count as u64);
        match left.filter(|_| self.piece <= MAX_PIECE_BYTES + into.len()) {
            Some(left) => self.left.set(left),
            None => return Err(io::ErrorKind::FileTooLarge.into()),
        }
        Ok(count)
    }
}

/// A piece of a part.
pub(super) enum Piece<'b> {
    /// An element begins; one that is empty ends at once.
    Open(BytesStart<'b>),
    /// An element ends, of this name with its prefix.
    Close(String),
    /// Words, with references resolved.
    Text(String),
    /// What carries no content.
    Other,
    /// The part ends.
    End,
}

/// A part that is read as XML.
pub(super) struct XmlPart<'p, 'a> {
    reader: Reader<BufReader<Unpacked<'p, 'a>>>,
    buffer: Vec<u8>,
    /// How many elements are open.
    depth: usize,
}

impl XmlPart<'_, '_> {
    /// Returns the next piece.
    ///
    /// # Errors
    /// When a limit is passed, or it is no sound XML.
    pub(super) fn next(&mut self) -> Result<Piece<'_>, ListFault> {
        self.buffer.clear();
        self.reader.get_mut().get_mut().piece = 0;
        let event = self.reader.read_event_into(&mut self.buffer).map_err(|error| match error {
            quick_xml::Error::Io(error) if error.kind() == io::ErrorKind::FileTooLarge => ListFault::new(
                format!(
                    "the workbook unpacks to more than {}, or one cell to more than a picture list needs",
                    show::bytes(MAX_UNPACKED_BYTES)
                ),
                "delete empty rows and columns with formats and sheets that are not needed, then save",
            ),
            _ => damaged(),
        })?;
        match event {
            Event::Start(_) if self.depth == MAX_DEPTH => return Err(damaged()),
            Event::Start(_) => self.depth += 1,
            Event::End(_) => self.depth = self.depth.saturating_sub(1),
            _ => {}
        }
        Ok(match event {
            Event::Start(start) | Event::Empty(start) => Piece::Open(start),
            Event::End(end) => Piece::Close(end.name().as_ref().to_owned()),
            Event::Text(text) => Piece::Text(text.xml10_content().into_owned()),
            Event::CData(text) => Piece::Text(text.xml10_content().into_owned()),
            Event::GeneralRef(name) => match name.resolve_char_ref().map_err(|_| damaged())? {
                Some(character) => Piece::Text(character.to_string()),
                None => Piece::Text(escape::resolve_predefined_entity(&name).unwrap_or_default().to_owned()),
            },
            Event::Eof => Piece::End,
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) => Piece::Other,
        })
    }
}

/// Returns the name of an element without its prefix.
pub(super) fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

/// Returns an attribute of an element, by its name with the prefix if one is given, else by its name behind any.
pub(super) fn attribute(start: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = start.attributes().with_checks(false).filter_map(Result::ok).find(|attribute| {
        let own = attribute.key.as_ref();
        own == name || !name.contains(':') && local(own) == name
    })?;
    found.normalized_value(XmlVersion::Implicit1_0).ok().map(|value| value.into_owned())
}
