//! The date of a screen's calibration, kept in the user's configuration, one line per screen.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use etcetera::HomeDirError;
use jiff::civil::Date;

use crate::files;
use crate::files::atomic;
use crate::units::words::visible;
use crate::user::settings::line_of;
use crate::user::{clock, directories};

/// The file's name in the user's configuration.
const FILE: &str = "screens.toml";
/// What is shown where no day is noted.
const NOT_NOTED: &str = "no calibration recorded";
/// The comment above the lines.
const HEAD: &str = "# When each screen was calibrated; `plateside calibrated` writes it.\n";

/// The word for today's date.
const TODAY: &str = "today";
/// Greatest age of a calibration, in years: an older date is taken for a typing error. Own choice.
const MAX_AGE_YEARS: i16 = 20;

/// The reason why a calibration cannot be recorded.
#[derive(Debug, thiserror::Error)]
pub enum CalibrationError {
    /// The system reports no home folder.
    #[error(transparent)]
    NoHome(#[from] HomeDirError),
    /// The typed text is not a date.
    #[error("{}: not a date; write today, or year-month-day as in {today}", visible(text))]
    NoDate {
        /// The text as typed.
        text: String,
        /// Today's date.
        today: Date,
    },
    /// The date is in the future.
    #[error("{date} is in the future; today is {today}")]
    Ahead {
        /// The date as typed.
        date: Date,
        /// Today's date.
        today: Date,
    },
    /// The date is too long ago to be meant.
    #[error("{date} is too long ago; today is {today}")]
    LongAgo {
        /// The date as typed.
        date: Date,
        /// Today's date.
        today: Date,
    },
    /// The screen belongs to another machine.
    #[error("over SSH plateside cannot know which screen you use; record it on the machine that the screen belongs to")]
    OverSsh,
    /// The file cannot be read.
    #[error("{}: cannot be read", path.display())]
    Unread {
        /// The file.
        path: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// A line of the file is invalid.
    #[error(
        "{}:{line}: each line must be a screen and a date in quotation marks; fix the line or remove the file",
        path.display()
    )]
    Wrong {
        /// The file.
        path: PathBuf,
        /// Number of the line, from 1.
        line: usize,
    },
    /// The lines cannot be written as TOML.
    #[error(transparent)]
    NoToml(#[from] toml::ser::Error),
    /// The file cannot be written.
    #[error("{}: cannot be written", path.display())]
    Unwritten {
        /// The file.
        path: PathBuf,
        /// The system's error.
        source: io::Error,
    },
}

/// Returns what is recorded of this screen, in words, and how to record a date.
pub fn state_words() -> String {
    let known = words().unwrap_or_else(|| "over SSH plateside cannot know which screen you use".to_owned());
    let date = clock::local().date();
    let command = "plateside calibrated";
    format!("{known}\nto record the day, type\n  {command} today\nor, for an earlier day\n  {command} {date}")
}

/// Records that this screen was calibrated on a date, or `today`; returns a confirmation.
///
/// # Errors
/// The date is invalid or in the future, the screen belongs to another machine, or the file cannot be read or written.
pub fn record(text: &str) -> Result<String, CalibrationError> {
    let today = clock::local().date();
    let date = match text.parse::<Date>() {
        _ if text == TODAY => today,
        Ok(date) => date,
        Err(_) => return Err(CalibrationError::NoDate { text: text.to_owned(), today }),
    };
    if date > today {
        return Err(CalibrationError::Ahead { date, today });
    }
    if date.year() < today.year() - MAX_AGE_YEARS {
        return Err(CalibrationError::LongAgo { date, today });
    }
    let screen = screen(&|name| std::env::var(name).ok()).ok_or(CalibrationError::OverSsh)?;
    let path = directories::configuration(FILE)?;
    let mut screens = read(&path)?;
    screens.insert(screen.clone(), date.to_string());
    let text = format!("{HEAD}{}", toml::to_string(&screens)?);
    atomic::save(&path, text.as_bytes()).map_err(|source| CalibrationError::Unwritten { path, source })?;
    Ok(format!("Recorded: the screen {} was calibrated on {date}.", visible(&screen)))
}

/// Returns the calibration of this screen, in words to show beside a picture; `None` over SSH.
pub fn words() -> Option<String> {
    let screen = screen(&|name| std::env::var(name).ok())?;
    let date = directories::configuration(FILE)
        .ok()
        .and_then(|path| read(&path).ok())
        .and_then(|mut screens| screens.remove(&screen));
    Some(age_words(date.and_then(|date| date.parse().ok()), clock::local().date()))
}

fn age_words(date: Option<Date>, today: Date) -> String {
    let Some(date) = date else {
        return NOT_NOTED.to_owned();
    };
    match today.since(date).map(|span| span.get_days()).unwrap_or(0) {
        0 => "screen calibrated today".to_owned(),
        1 => "screen calibrated yesterday".to_owned(),
        ..0 => format!("screen calibrated on {date}, which is in the future: this machine's clock was or is wrong"),
        days => format!("screen calibrated {days} days ago"),
    }
}

/// Returns this screen's name: the machine and its display; `None` over SSH, where the screen is another machine's.
fn screen(get: &dyn Fn(&str) -> Option<String>) -> Option<String> {
    if get("SSH_CONNECTION").is_some() || get("SSH_TTY").is_some() {
        return None;
    }
    let machine = rustix::system::uname().nodename().to_string_lossy().into_owned();
    let display = get("WAYLAND_DISPLAY").or_else(|| get("DISPLAY")).unwrap_or_else(|| "console".to_owned());
    Some(format!("{machine} {display}"))
}

fn read(path: &Path) -> Result<BTreeMap<String, String>, CalibrationError> {
    let text = match files::read_text(path, directories::MAX_SETTINGS_BYTES) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(BTreeMap::new()),
        text => text.map_err(|source| CalibrationError::Unread { path: path.to_owned(), source })?,
    };
    toml::from_str(&text)
        .map_err(|wrong| CalibrationError::Wrong { path: path.to_owned(), line: line_of(&text, &wrong) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_age_is_said_and_a_screen_over_ssh_is_none_of_ours() {
        let today = "2026-11-26".parse().unwrap();
        assert_eq!(age_words("2026-11-02".parse().ok(), today), "screen calibrated 24 days ago");
        assert_eq!(age_words("2026-11-25".parse().ok(), today), "screen calibrated yesterday");
        assert_eq!(age_words(Some(today), today), "screen calibrated today");
        let ahead = age_words("2037-01-19".parse().ok(), today);
        assert!(ahead.starts_with("screen calibrated on 2037-01-19, which is in the future"), "{ahead}");
        assert!(age_words(None, today).contains("no calibration recorded"));
        assert_eq!(screen(&|name| (name == "SSH_TTY").then(|| "/dev/pts/3".to_owned())), None);
        let here = screen(&|name| (name == "DISPLAY").then(|| ":0".to_owned())).unwrap();
        assert!(here.ends_with(" :0"), "{here}");
    }
}
