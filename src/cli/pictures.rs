//! What is done with single pictures at the prompt: looking, sizes, the subject's box.

use std::path::PathBuf;

use crate::brief::Brief;
use crate::judge::rules::set::unlisted;
use crate::judge::sizes::carried;
use crate::live::snapshot::ShownThumbnail;
use crate::picture::PictureKey;
use crate::reading::batch::wanted;
use crate::reading::inspect::{FileInspector, Inspector};
use crate::reading::scan::{cut_off_words, scan};
use crate::reading::subject_box;
use crate::reading::subject_box::{BoxError, BoxTarget};
use crate::report::sizes;
use crate::report::sizes::PictureSizes;
use crate::report::{Exit, facts, measured, subject_words};
use crate::tui::look::Viewer;
use crate::units::styled::Line;
use crate::units::words;
use color_eyre::eyre::{Result, WrapErr, eyre};

use crate::cli::args::{LookArgs, LookFormat, OutputFormat, SizesArgs, SubjectArgs};
use crate::cli::output::{complain, out, read_brief, refused, say};

/// Shows pictures, with what their files and pixels say.
pub fn look(args: &LookArgs) -> Result<Exit> {
    if args.format == LookFormat::Json {
        return measured_json(args);
    }
    let viewer = Viewer::of_stdout(args.thumbnail.into()).wrap_err("the terminal cannot be used")?;
    let mut inspector = FileInspector::default();
    let mut exit = Exit::Clean;
    for (at, path) in args.pictures.iter().enumerate() {
        if at > 0 {
            say(&[Line::blank()], args.text.colour)?;
        }
        let name = path.to_string_lossy();
        let facts = match inspector.facts(path) {
            Ok(facts) => facts,
            Err(fault) => {
                say(&facts::fault(&name, &fault), args.text.colour)?;
                exit = Exit::CouldNot;
                continue;
            }
        };
        let mut lines = facts::lines(&name, &facts);
        match inspector.evidence(path, &facts, true) {
            Ok(evidence) => {
                lines.extend(measured::lines(&evidence));
                if let Some(viewer) = &viewer
                    && let Some(upright) = inspector.to_screen(path, &evidence.thumbnail, &facts)
                {
                    let (key, _) = PictureKey::of(path);
                    let (width_px, height_px, rgb) = (upright.width_px, upright.height_px, upright.rgb);
                    let version = at as u64;
                    viewer.show(&ShownThumbnail {
                        picture: key,
                        version,
                        width_px,
                        height_px,
                        rgb,
                        preview: false,
                        proof: None,
                    })?;
                }
            }
            Err(fault) => lines.push(facts::pixels_fault(&fault)),
        }
        say(&lines, args.text.colour)?;
    }
    Ok(exit)
}

/// What the pixels of pictures say, as JSON; a picture that cannot be read is said on standard error.
fn measured_json(args: &LookArgs) -> Result<Exit> {
    let mut inspector = FileInspector::default();
    let mut exit = Exit::Clean;
    let mut found = Vec::new();
    for path in &args.pictures {
        let name = path.to_string_lossy();
        match inspector.facts(path).and_then(|facts| inspector.evidence(path, &facts, true)) {
            Ok(evidence) => found.push(measured::of(name.into_owned(), &evidence)),
            Err(fault) => {
                complain(&format!("plateside: {}: {}", words::visible(&name), fault.what));
                exit = Exit::CouldNot;
            }
        }
    }
    out(&measured::json(&found)).map(|written| if exit == Exit::Clean { written } else { exit })
}

/// Lists the sizes that pictures carry.
pub fn sizes_of(args: &SizesArgs) -> Result<Exit> {
    let brief = match args.brief.as_deref().map(read_brief) {
        Some(None) => return Ok(Exit::CouldNot),
        brief => brief.flatten(),
    };
    let mut inspector = FileInspector::default();
    let mut found = Vec::new();
    let (listed, mut exit) = listed(&args.pictures, brief.as_ref())?;
    for path in listed {
        let picture = path.to_string_lossy().into_owned();
        match inspector.facts(&path) {
            Ok(facts) => {
                let upright_px = facts.upright_px();
                found.push(PictureSizes { picture, upright_px, carried: carried(brief.as_ref(), upright_px) });
            }
            Err(fault) => {
                complain(&format!("plateside: {}: {}", words::visible(&picture), fault.what));
                exit = Exit::CouldNot;
            }
        }
    }
    let written = match args.format {
        OutputFormat::Text => say(&sizes::lines(&found), args.text.colour),
        OutputFormat::Json => out(&sizes::json(&found)),
        OutputFormat::Csv => out(&sizes::csv(&found)),
    }?;
    Ok(if exit == Exit::Clean { written } else { exit })
}

/// The pictures named, and for each folder those in it: what a brief would find there. What was passed over is said on
/// standard error.
fn listed(paths: &[PathBuf], brief: Option<&Brief>) -> Result<(Vec<PathBuf>, Exit)> {
    let (mut pictures, mut exit) = (Vec::new(), Exit::Clean);
    for path in paths {
        if !path.is_dir() {
            pictures.push(path.clone());
            continue;
        }
        let wanted = brief.map(|brief| wanted(brief, path)).unwrap_or_default();
        let found = scan(path, &wanted).wrap_err_with(|| format!("{}: the folder cannot be read", path.display()))?;
        let passed_over = unlisted::found(&found.unlisted).into_iter().map(|one| (one.breach.what, one.breach.mend));
        let beyond = found.cut_off.then(cut_off_words).map(|(what, mend)| (what, mend.to_owned()));
        for (what, mend) in passed_over.chain(beyond) {
            complain(&format!(
                "plateside: {}: {}; {mend}",
                words::visible(&path.to_string_lossy()),
                words::visible(&what)
            ));
            exit = Exit::CouldNot;
        }
        if found.files.is_empty() {
            return Err(eyre!("{}: no picture lies there", path.display()));
        }
        pictures.extend(found.files.into_values().map(|sighting| sighting.path));
    }
    Ok((pictures, exit))
}

/// Shows, draws or takes away the box of a picture's subject.
pub fn subject_of(args: &SubjectArgs) -> Result<Exit> {
    let Some(brief) = read_brief(&args.brief) else { return Ok(Exit::CouldNot) };
    let (folder, print) = (args.folder.as_deref(), args.print.as_deref());
    let sought = BoxTarget { brief: &brief, picture: &args.picture, folder, print };
    let mut inspector = FileInspector::default();
    let lines = match &args.area {
        _ if args.remove => {
            subject_box::removed(&sought, &mut inspector).map(|picture| subject_words::removed(picture.as_str()))
        }
        Some(area) => subject_box::drawn(&sought, area, &mut inspector).map(|standing| subject_words::lines(&standing)),
        None => subject_box::shown(&sought, &mut inspector).map(|standing| subject_words::lines(&standing)),
    };
    match lines {
        Ok(lines) => say(&lines, args.text.colour),
        Err(BoxError::Broken(problems)) => Ok(refused(&problems)),
        Err(error) => Err(error.into()),
    }
}
