//! Why a text is no value of a key, and what could be written instead.

/// Why a text is no such value, and what could be written instead (without quotes).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ValueError {
    pub(super) what: String,
    pub(super) instead: Option<String>,
    /// What to do where no one text can be written instead.
    pub(super) fix: Option<String>,
}

impl ValueError {
    pub(super) fn new(what: impl Into<String>) -> ValueError {
        ValueError { what: what.into(), instead: None, fix: None }
    }

    pub(super) fn instead(what: impl Into<String>, instead: impl Into<String>) -> ValueError {
        ValueError { what: what.into(), instead: Some(instead.into()), fix: None }
    }

    pub(super) fn fix(what: impl Into<String>, fix: impl Into<String>) -> ValueError {
        ValueError { what: what.into(), instead: None, fix: Some(fix.into()) }
    }

    /// With the known word that was meant, if there is one near enough.
    pub(super) fn near(what: impl Into<String>, near: Option<&str>) -> ValueError {
        ValueError { what: what.into(), instead: near.map(str::to_owned), fix: None }
    }
}
