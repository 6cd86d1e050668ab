//! Test prints at the prompt: who deserves one, the sheets, and what was seen on them.

use std::collections::HashMap;
use std::path::Path;

use crate::decisions;
use crate::decisions::{DecisionChange, Decisions, KeepError, RemarkChange};
use crate::files::atomic_folder::AtomicFolder;
use crate::judge::Row;
use crate::judge::model::test_print::TestPrintRemark;
use crate::picture::PictureKey;
use crate::reading::naming::key_of;
use crate::report::{Exit, Report};
use crate::testprint::note;
use crate::testprint::note::SheetsSummary;
use crate::testprint::ranking::{RankedRow, may_be_tested, ranked, reasons, to_mend_first};
use crate::testprint::sheets::{FinishedSheet, ReadFiles, SheetRequest, sheets};
use crate::testprint::{BY_EYE, TestSheet};
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;
use color_eyre::eyre::{Result, WrapErr, eyre};

use crate::cli::args::TestPrintArgs;
use crate::cli::check;
use crate::cli::output::{not_written, now, refused, say};
use crate::user::identity;
use crate::user::settings::Settings;

/// The places of each picture's rows in a report.
type RowsOf<'a> = HashMap<&'a PictureKey, Vec<usize>>;

/// Ranks, lays sheets, or keeps what was seen.
pub fn test_print(args: &TestPrintArgs) -> Result<Exit> {
    let Some((brief, accepted)) = check::read_order(&args.brief) else { return Ok(Exit::CouldNot) };
    let checked = check::folder(&brief, &accepted, &args.folder, args.work)?;
    let report = check::report(brief, args.folder.to_string_lossy().into_owned(), &checked);
    let chosen: Vec<PictureKey> = args.choose.iter().map(|path| chosen(path, &args.folder)).collect::<Result<_>>()?;
    let rows_of = report.rows_of();
    if let Some(key) = chosen.iter().find(|key| !rows_of.contains_key(key)) {
        return Err(eyre!("{key}: there is no such picture in {}", report.folder));
    }
    if let Some(saw) = &args.seen {
        return seen(args, &report, &accepted, &chosen, saw);
    }
    if args.withdraw {
        return withdrawn(args, &report, &accepted, &chosen);
    }
    let prints = report.prints();
    let print_of = |row: &Row| prints.get(row.key.print.as_ref());
    let all = match chosen.is_empty() {
        true => ranked(&report.rows, &print_of),
        false => by_hand(&report, &chosen, args.print.as_deref())?,
    };
    let Some(into) = &args.into else { return say(&ranking(&report, &all, args), args.text.colour) };
    let most = if chosen.is_empty() { usize::from(args.most) } else { all.len() };
    let (laid, left) = all.split_at(most.min(all.len()));
    if laid.is_empty() {
        return Err(eyre!("{}; name some with --choose", nobody(&report)));
    }
    let delivered = check::by_key(&checked);
    let files: ReadFiles<'_> =
        checked.paths.iter().filter_map(|(key, path)| Some((key, (path, *delivered.get(key)?)))).collect();
    let finished = sheets(&report, &files, laid, SheetRequest { onto: args.onto, whole: args.whole })?;
    let ending = SheetsSummary {
        left: left.iter().map(|one| format!("{}: {}", named(&report, one), one.words())).collect(),
        record: record_command(args),
    };
    let count = finished.len();
    write(into, finished, &ending)?;
    let count = show::count(count, "sheet", "sheets");
    let mut lines = ranking(&report, laid, args);
    lines.push(Line::of(Style::Good, format!("{count} laid")).and(Style::Plain, format!(" in {}", into.display())));
    if !left.is_empty() {
        let more = show::count(left.len(), "more picture speaks for one", "more pictures speak for one");
        lines.push(Line::of(Style::Warn, format!("{more}, on no sheet yet: --most {} takes all", all.len())));
    }
    lines.push(Line::of(Style::Dim, BY_EYE));
    say(&lines, args.text.colour)
}

fn write(into: &Path, finished: Vec<FinishedSheet>, ending: &SheetsSummary) -> Result<()> {
    let failed = |error| not_written(into, error);
    let making = AtomicFolder::begin(into).map_err(failed)?;
    let mut sheets: Vec<(String, TestSheet, _)> = Vec::with_capacity(finished.len());
    for FinishedSheet { name, bytes, sheet, drawn } in finished {
        making.write_file(Path::new(&name), &bytes).map_err(failed)?;
        sheets.push((name, sheet, drawn));
    }
    making.write_file(Path::new(note::RECORD), &note::record(&sheets)).map_err(failed)?;
    let sheets: Vec<(String, TestSheet)> = sheets.into_iter().map(|(name, sheet, _)| (name, sheet)).collect();
    making.write_file(Path::new(note::NOTE), note::text(&sheets, ending).as_bytes()).map_err(failed)?;
    making.finish().map_err(failed)
}

/// What a person named: as it lies here, or as the program calls it, within the folder.
fn chosen(path: &Path, folder: &Path) -> Result<PictureKey> {
    let within = folder.join(path);
    Ok(key_of(if path.exists() || !within.exists() { path } else { &within }, Some(folder), false)?.0)
}

/// The rows of pictures that were named, in that order, each for its first print or the one that was named.
fn by_hand(report: &Report, chosen: &[PictureKey], print: Option<&str>) -> Result<Vec<RankedRow>> {
    let (prints, rows_of) = (report.prints(), report.rows_of());
    let deserving = |key: &PictureKey| {
        let Some(at) = place_of(report, &rows_of, key, print) else {
            return Err(eyre!("{key}: is not for the print \"{}\"", print.unwrap_or_default()));
        };
        let row = &report.rows[at];
        let own = || prints.get(row.key.print.as_ref()).map(|print| reasons(row, print)).unwrap_or_default();
        Ok(RankedRow { row: at, reasons: to_mend_first(row).map_or_else(own, |reason| vec![reason]) })
    };
    chosen.iter().map(deserving).collect()
}

/// The place of a picture's row, for its first print or the one that was named.
fn place_of(report: &Report, rows_of: &RowsOf<'_>, key: &PictureKey, print: Option<&str>) -> Option<usize> {
    let is_meant = |at: &usize| print.is_none_or(|word| report.rows[*at].is_for(word));
    rows_of.get(key)?.iter().copied().find(is_meant)
}

/// That no picture deserves one, and how many could not be asked.
fn nobody(report: &Report) -> String {
    let fix = report.rows.iter().filter(|row| row.key.picture.is_some() && !may_be_tested(row)).count();
    let first = match fix {
        0 => String::new(),
        _ => format!(" ({} to be mended first)", show::count(fix, "row is", "rows are")),
    };
    format!("no picture deserves a test print by itself{first}")
}

fn named(report: &Report, one: &RankedRow) -> String {
    let row = &report.rows[one.row];
    let picture = row.key.picture.as_ref().map(PictureKey::to_string).unwrap_or_default();
    format!("{picture} for {}", visible(&row.print_name))
}

/// Who deserves a test print, and why.
fn ranking(report: &Report, all: &[RankedRow], args: &TestPrintArgs) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    // A list of all that are many copies would hide the few that are doubtful.
    let folds = args.into.is_none() && args.choose.is_empty();
    let (folded, told): (Vec<_>, Vec<_>) = all.iter().partition(|one| folds && one.is_costly_alone());
    for (at, one) in told.into_iter().enumerate() {
        lines.push(Line::of(Style::Strong, format!("{:>2}  {}", at + 1, named(report, one))));
        lines.push(Line::plain(one.words()).indented(4, 4));
        if let Some(words) = report.rows[one.row].test_print.words() {
            lines.push(Line::of(Style::Dim, format!("test print {words}")).indented(4, 4));
        }
    }
    if !folded.is_empty() {
        let names: Vec<String> = folded.iter().map(|one| named(report, one)).collect();
        let count = show::count(folded.len(), "more is large or has many copies", "more are large or have many copies");
        lines.push(Line::plain(format!("{count}: {}", names.join(", "))).indented(0, 4));
    }
    if all.is_empty() {
        lines.push(Line::plain(nobody(report)));
    } else if args.into.is_none() {
        let how = "--onto \"8 x 10 in\" --into DIR lays sheets of them";
        lines.push(Line::of(Style::Dim, how));
    }
    lines
}

/// The command that records what was seen on these sheets.
fn record_command(args: &TestPrintArgs) -> String {
    let (brief, folder) = (shell_word(&args.brief), shell_word(&args.folder));
    let print = args.print.as_ref().map(|name| format!(" --print {}", quoted(name))).unwrap_or_default();
    format!("plateside testprint {brief} {folder}{print} --choose PICTURE --seen \"what you saw\"")
}

/// A path as a shell takes it.
fn shell_word(path: &Path) -> String {
    let path = path.to_string_lossy();
    quoted(&if path.starts_with('-') { format!("./{path}") } else { path.into_owned() })
}

/// A text in a shell's single quotes, which let nothing act. What acts on a line is made visible.
fn quoted(text: &str) -> String {
    format!("'{}'", visible(text).replace('\'', "'\\''"))
}

/// Keeps what was seen on test prints.
fn seen(args: &TestPrintArgs, report: &Report, accepted: &Decisions, chosen: &[PictureKey], saw: &str) -> Result<Exit> {
    if saw.trim().is_empty() {
        return Err(eyre!("say what was seen: --seen \"shadows hold, greens a little dull\""));
    }
    let by = identity::name(args.by.as_deref(), &Settings::read()?)?;
    let mut changes = Vec::new();
    let rows_of = report.rows_of();
    for key in chosen {
        let row = row_of(args, report, &rows_of, key)?;
        let (Some(sha256), Some(pixels)) = (row.sha256.clone(), row.pixels.clone()) else {
            return Err(eyre!("{key}: its pixels cannot be read, so nobody can tell later what was printed"));
        };
        let print = args.print.as_ref().and(row.key.print.clone());
        let picture = accepted.seen.name(key, Some(&sha256)).clone();
        let (saw, by, good) = (saw.to_owned(), by.clone(), !args.not_good);
        let seen = TestPrintRemark { print: print.clone(), saw, good, by, when: now(), sha256, pixels };
        changes.push(DecisionChange::Seen(RemarkChange { picture, print, seen: Some(Box::new(seen)) }));
    }
    let good = if args.not_good { " and not good enough" } else { "" };
    keep(args, &changes, &format!("seen{good} (a handover's note says it, too), kept in"))
}

/// Takes back what was said of test prints.
fn withdrawn(args: &TestPrintArgs, report: &Report, accepted: &Decisions, chosen: &[PictureKey]) -> Result<Exit> {
    let mut changes = Vec::new();
    let rows_of = report.rows_of();
    for key in chosen {
        let row = row_of(args, report, &rows_of, key)?;
        let print = args.print.as_ref().and(row.key.print.clone());
        let said = accepted.seen_of(key, row.sha256.as_deref());
        if !said.iter().any(|seen| seen.print == print) {
            let prints: Vec<&str> = said.iter().filter_map(|seen| Some(&*seen.print.as_ref()?.0)).collect();
            return Err(match prints.is_empty() {
                true => eyre!("{key}: nothing was said of its test print"),
                false => eyre!("{key}: it was said for one print alone; add --print {}", visible(&prints.join(" or "))),
            });
        }
        let picture = accepted.seen.name(key, row.sha256.as_deref()).clone();
        changes.push(DecisionChange::Seen(RemarkChange { picture, print, seen: None }));
    }
    keep(args, &changes, "no longer seen, taken out of")
}

/// A picture's row, for its first print or the one that was named.
fn row_of<'a>(args: &TestPrintArgs, report: &'a Report, rows_of: &RowsOf<'_>, key: &PictureKey) -> Result<&'a Row> {
    let at = place_of(report, rows_of, key, args.print.as_deref());
    at.map(|at| &report.rows[at]).ok_or_else(|| eyre!("{key}: is not for this print"))
}

fn keep(args: &TestPrintArgs, changes: &[DecisionChange], done: &str) -> Result<Exit> {
    match decisions::keep(&args.brief, changes) {
        Err(KeepError::Broken(problems)) => Ok(refused(&problems)),
        Err(unwritten) => Err(unwritten).wrap_err("nothing was kept"),
        Ok(_) => {
            let count = show::count(changes.len(), "test print", "test prints");
            let file = decisions::path_beside(&args.brief);
            say(&[Line::plain(format!("{count} {done} {}", file.display()))], args.text.colour)
        }
    }
}
