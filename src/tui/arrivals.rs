//! The order in which pictures arrived, as far as this screen saw it.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use crate::live::snapshot::TableRow;
use crate::picture::PictureKey;

/// Most recent arrivals kept without a row, since their rows may still come. Own choice.
const MAX_WITHOUT_ROW: u64 = 1_000;

/// Arrivals, numbered from 1.
#[derive(Debug, Default)]
pub struct Arrivals {
    numbers: HashMap<PictureKey, u64>,
    so_far: u64,
}

impl Arrivals {
    /// Records that a picture arrived, or arrived again.
    pub fn record(&mut self, picture: &PictureKey) {
        self.so_far += 1;
        self.numbers.insert(picture.clone(), self.so_far);
    }

    /// Returns the number of a picture's last arrival; 0 if it was there before.
    pub fn number(&self, picture: Option<&PictureKey>) -> u64 {
        picture.and_then(|picture| self.numbers.get(picture)).copied().unwrap_or(0)
    }

    /// Forgets pictures that are gone: their arrivals are no longer needed. The latest arrivals may have no row yet and
    /// are kept.
    pub fn forget_gone(&mut self, rows: &[Arc<TableRow>]) {
        let here: HashSet<&PictureKey> = rows.iter().filter_map(|row| row.row.key.picture.as_ref()).collect();
        let so_far = self.so_far;
        self.numbers.retain(|picture, number| here.contains(picture) || so_far - *number < MAX_WITHOUT_ROW);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowState;
    use crate::live::Snapshot;
    use crate::tui::tests::order::{plain_row, snapshot_of};
    use crate::tui::view_state::ViewState;
    use crate::units::growth::grows_less_than_square;

    #[test]
    fn arrivals_cost_the_same_however_many_there_were() {
        let of = |count: usize| {
            let rows = snapshot_of((0..count).map(|at| plain_row(&format!("p{at}"), RowState::Pass)));
            let mut view = ViewState::default();
            view.update(&rows);
            (view, rows)
        };
        grows_less_than_square(2_000, of, |(mut view, mut rows): (ViewState, Snapshot)| {
            for at in 0..rows.rows.len() {
                rows.newest.clone_from(&rows.rows[at].row.key.picture);
                view.update(&rows);
            }
        });
    }

    #[test]
    fn those_that_are_gone_are_forgotten() {
        let mut arrivals = Arrivals::default();
        let rows: Vec<_> = ["p0", "p1"].map(|name| Arc::new(plain_row(name, RowState::Pass))).into();
        let picture = |at: usize| rows[at].row.key.picture.clone().unwrap();
        (0..2).for_each(|at| arrivals.record(&picture(at)));
        arrivals.forget_gone(&rows[..1]);
        assert_eq!((arrivals.number(Some(&picture(0))), arrivals.number(Some(&picture(1)))), (1, 2), "no row yet");
        (0..MAX_WITHOUT_ROW).for_each(|at| arrivals.record(&PictureKey::from_text(&format!("{at}.jpg"))));
        arrivals.forget_gone(&rows[..1]);
        assert_eq!((arrivals.number(Some(&picture(0))), arrivals.number(Some(&picture(1)))), (1, 0));
        assert_eq!((arrivals.numbers.len() as u64, arrivals.number(None)), (1 + MAX_WITHOUT_ROW, 0));
    }
}
