//! The program from outside: the built binary, run on folders that each test makes for itself.

mod accept;
mod briefs;
mod check;
mod colours;
mod contact;
mod deliver;
mod deliver_log;
mod deliver_since;
mod groups;
mod guide;
mod handbook;
mod hostile;
mod json;
mod lists;
mod log;
#[cfg(unix)]
mod no_files;
mod sizes;
mod spec;
mod status;
mod subject;
mod support;
mod testprint;
#[cfg(unix)]
mod unlisted;
mod versions;
mod watch;
mod words;
