//! The program from outside: the built binary, run on folders that each test makes for itself.

mod accept;
mod briefs;
mod check;
mod colours;
mod deliver;
mod guide;
mod handbook;
mod hostile;
mod json;
mod sizes;
mod status;
mod subject;
mod support;
mod testprint;
mod watch;
mod words;
