//! The order in which rows are shown.

/// The orders of rows, in the order in which the key steps through them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sort {
    /// As the brief lists its prints.
    #[default]
    Brief,
    /// Rows that must be fixed come first.
    State,
    /// By the picture's name.
    Name,
    /// The latest arrival or change first.
    Newest,
}

impl Sort {
    const ALL: [Sort; 4] = [Sort::Brief, Sort::State, Sort::Name, Sort::Newest];

    /// Returns the order after this one.
    pub fn next(self) -> Sort {
        let at = Sort::ALL.iter().position(|sort| *sort == self).unwrap_or(0);
        Sort::ALL[(at + 1) % Sort::ALL.len()]
    }

    /// Returns the order's name.
    pub const fn words(self) -> &'static str {
        match self {
            Sort::Brief => "in the brief's order",
            Sort::State => "by state",
            Sort::Name => "by name",
            Sort::Newest => "newest first",
        }
    }
}
