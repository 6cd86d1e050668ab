//! A look at one picture: the facts of its file and its pixels, in words and as JSON.

use std::path::{Path, PathBuf};

use crate::reading::inspect::{FileInspector, Inspector, UprightThumbnail};
use crate::units::styled::Line;
use crate::units::words::visible;

use super::measured::MeasuresOut;
use super::{facts, measured};

/// The description of a picture.
#[derive(Clone, Debug)]
pub struct PictureLook {
    /// Facts of its file and its pixels, or why there are none.
    pub lines: Vec<Line>,
    /// The picture, reduced; `None` if its pixels cannot be read.
    pub thumbnail: Option<UprightThumbnail>,
    /// True if its header could be read.
    pub is_read: bool,
}

/// Reads a picture; `inspector` may be reused for the next one.
pub fn look(path: &Path, inspector: &mut FileInspector) -> PictureLook {
    let name = path.to_string_lossy();
    let facts = match inspector.facts(path) {
        Ok(facts) => facts,
        Err(fault) => return PictureLook { lines: facts::fault(&name, &fault), thumbnail: None, is_read: false },
    };
    let mut lines = facts::lines(&name, &facts);
    let thumbnail = match inspector.evidence(path, &facts, true) {
        Ok(evidence) => {
            lines.extend(measured::lines(&evidence));
            inspector.to_screen(path, &evidence.thumbnail, &facts)
        }
        Err(fault) => {
            lines.push(facts::pixels_fault_line(&fault));
            None
        }
    };
    PictureLook { lines, thumbnail, is_read: true }
}

/// Returns the measures of pictures' pixels, for JSON. `complain` gets one line for each picture that cannot be read.
pub fn measures(paths: &[PathBuf], complain: &mut dyn FnMut(String)) -> Vec<MeasuresOut> {
    let mut inspector = FileInspector::default();
    let mut found = Vec::new();
    for path in paths {
        let name = path.to_string_lossy();
        match inspector.facts(path).and_then(|facts| inspector.evidence(path, &facts, true)) {
            Ok(evidence) => found.push(measured::of(name.into_owned(), &evidence)),
            Err(fault) => complain(format!("{}: {}", visible(&name), fault.what)),
        }
    }
    found
}
