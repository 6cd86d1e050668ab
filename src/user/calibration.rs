//! When the screen in front of the person was calibrated: kept in the person's own configuration, one line a screen.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::files;
use crate::files::atomic;
use crate::units::words::visible;
use color_eyre::eyre::{Result, WrapErr, eyre};
use jiff::civil::Date;

use crate::user::directories;

/// The file in the person's configuration.
const FILE: &str = "screens.toml";
/// Written above the lines.
const HEAD: &str = "# When each screen was calibrated; `plateside calibrated` writes it.\n";

/// The word for the date of today.
const TODAY: &str = "today";
/// No screen that is looked at was calibrated longer ago, in years: then it is a slip of the hand. Own choice.
const LONGEST_AGO_YEARS: i16 = 20;

/// Notes that this screen was calibrated on a date, or `today`; says what it noted. Without a date, says what is noted.
///
/// # Errors
/// The date is none or lies ahead, the screen is not this machine's, or the file cannot be read or written.
pub fn note(date: Option<&str>) -> Result<String> {
    let today = jiff::Zoned::now().date();
    let Some(text) = date else {
        let known = words().unwrap_or_else(|| "over SSH nobody knows which screen you look at".to_owned());
        return Ok(format!("{known}\nplateside calibrated today notes it, or a date such as {today}"));
    };
    let date = match text.parse::<Date>() {
        _ if text == TODAY => today,
        Ok(date) => date,
        Err(_) => return Err(eyre!("{}: no date; write today, or year, month and day as in {today}", visible(text))),
    };
    if date > today {
        return Err(eyre!("{date} lies ahead; today is {today}"));
    }
    if date.year() < today.year() - LONGEST_AGO_YEARS {
        return Err(eyre!("{date} is long ago; today is {today}"));
    }
    let screen = screen(&|name| std::env::var(name).ok()).ok_or_else(|| {
        eyre!("over SSH it is not known which screen you look at; say it on the machine that the screen belongs to")
    })?;
    let path = directories::settings(FILE)?;
    let mut screens = read(&path)?;
    screens.insert(screen.clone(), date.to_string());
    let text = format!("{HEAD}{}", toml::to_string(&screens)?);
    let written = path.parent().map_or(Ok(()), fs::create_dir_all).and_then(|()| {
        atomic::clear_abandoned(&atomic::folder_of(&path));
        if path.exists() { atomic::replace(&path, text.as_bytes()) } else { atomic::create(&path, text.as_bytes()) }
    });
    written.wrap_err_with(|| format!("{}: cannot be written", path.display()))?;
    Ok(format!("Noted: the screen {} was calibrated on {date}.", visible(&screen)))
}

/// What is known of this screen, in words for beside a picture; nothing over SSH.
pub fn words() -> Option<String> {
    let screen = screen(&|name| std::env::var(name).ok())?;
    let date = directories::settings(FILE)
        .ok()
        .and_then(|path| read(&path).ok())
        .and_then(|mut screens| screens.remove(&screen));
    Some(said(date.and_then(|date| date.parse().ok()), jiff::Zoned::now().date()))
}

fn said(date: Option<Date>, today: Date) -> String {
    let Some(date) = date else {
        return "calibration unknown: plateside calibrated".to_owned();
    };
    match today.since(date).map(|span| span.get_days()).unwrap_or(0) {
        0 => "screen calibrated today".to_owned(),
        1 => "screen calibrated yesterday".to_owned(),
        days => format!("screen calibrated {days} days ago"),
    }
}

/// What tells this screen from others: the machine and its display; `None` over SSH, where it is another machine's.
fn screen(get: &dyn Fn(&str) -> Option<String>) -> Option<String> {
    if get("SSH_CONNECTION").is_some() || get("SSH_TTY").is_some() {
        return None;
    }
    let machine = rustix::system::uname().nodename().to_string_lossy().into_owned();
    let display = get("WAYLAND_DISPLAY").or_else(|| get("DISPLAY")).unwrap_or_else(|| "console".to_owned());
    Some(format!("{machine} {display}"))
}

fn read(path: &Path) -> Result<BTreeMap<String, String>> {
    let text = match files::read_text(path, directories::LARGEST_SETTINGS_BYTES) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(BTreeMap::new()),
        text => text.wrap_err_with(|| format!("{}: cannot be read", path.display()))?,
    };
    toml::from_str(&text).map_err(|wrong: toml::de::Error| {
        let line = text[..wrong.span().map_or(0, |span| span.start.min(text.len()))].lines().count().max(1);
        let what = "each line must be a screen and a date in quotes; mend the line or remove the file";
        eyre!("{}:{line}: {what}", path.display())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_age_is_said_and_a_screen_over_ssh_is_none_of_ours() {
        let today = "2026-11-26".parse().unwrap();
        assert_eq!(said("2026-11-02".parse().ok(), today), "screen calibrated 24 days ago");
        assert_eq!(said("2026-11-25".parse().ok(), today), "screen calibrated yesterday");
        assert_eq!(said(Some(today), today), "screen calibrated today");
        assert!(said(None, today).contains("unknown"));
        assert_eq!(screen(&|name| (name == "SSH_TTY").then(|| "/dev/pts/3".to_owned())), None);
        let here = screen(&|name| (name == "DISPLAY").then(|| ":0".to_owned())).unwrap();
        assert!(here.ends_with(" :0"), "{here}");
    }
}
