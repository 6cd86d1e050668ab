//! Remarks on test prints: storing them among the decisions, and withdrawing them.

use crate::decisions::{self, DecisionChange, KeepError, RemarkChange};
use crate::judge::model::test_print::TestPrintRemark;
use crate::units::words::visible;

use super::candidates::{Candidates, TestPrintError};

/// A remark on the test prints of the named pictures.
#[derive(Clone, Debug)]
pub struct NewRemark {
    /// The remark in words.
    pub saw: String,
    /// True if the test print is good enough.
    pub is_approved: bool,
    /// The person who looked.
    pub by: String,
}

impl Candidates<'_> {
    /// Stores a remark on each named picture; returns how many.
    ///
    /// # Errors
    /// The remark has no words, a picture has no such row or no pixels, or it cannot be stored.
    pub fn keep_remark(&self, remark: &NewRemark) -> Result<usize, TestPrintError> {
        if remark.saw.trim().is_empty() {
            return Err(TestPrintError::NothingSaid);
        }
        let rows_of = self.report().rows_of();
        let when = (self.request.check.clock)();
        let mut changes = Vec::new();
        for key in &self.chosen {
            let at = self.place_of(&rows_of, key).ok_or_else(|| TestPrintError::NoRow(key.clone()))?;
            let row = &self.report().rows[at];
            let (Some(sha256), Some(pixels)) = (row.sha256.clone(), row.pixel_digest.clone()) else {
                return Err(TestPrintError::NoPixels(key.clone()));
            };
            let print = self.request.print.and(row.key.print.clone());
            let picture = self.decisions.test_print_remarks.stored_name(key, Some(&sha256)).clone();
            let NewRemark { saw, is_approved, by } = remark.clone();
            let seen = TestPrintRemark {
                print: print.clone(),
                saw,
                is_approved,
                by,
                when: when.clone(),
                sha256,
                pixel_digest: pixels,
            };
            changes.push(DecisionChange::TestPrint(RemarkChange { picture, print, remark: Some(Box::new(seen)) }));
        }
        self.keep(&changes)
    }

    /// Withdraws the remarks on the named pictures, also those for a print that no longer takes the picture; returns
    /// how many.
    ///
    /// # Errors
    /// There is no remark, it is about another print, or the change cannot be stored.
    pub fn withdraw_remark(&self) -> Result<usize, TestPrintError> {
        let rows_of = self.report().rows_of();
        let mut changes = Vec::new();
        for key in &self.chosen {
            let at = rows_of.get(key).and_then(|rows| rows.first());
            let row = &self.report().rows[*at.ok_or_else(|| TestPrintError::NoRow(key.clone()))?];
            let print = self.print.clone();
            let remarks = self.decisions.test_print_remarks_of(key, row.sha256.as_deref());
            if !remarks.iter().any(|seen| seen.print == print) {
                let prints: Vec<&str> = remarks.iter().filter_map(|seen| Some(&*seen.print.as_ref()?.0)).collect();
                return Err(if prints.is_empty() {
                    TestPrintError::NoRemark(key.clone())
                } else {
                    TestPrintError::OtherPrint {
                        picture: key.clone(),
                        prints: visible(&prints.join(" or ")).into_owned(),
                    }
                });
            }
            let picture = self.decisions.test_print_remarks.stored_name(key, row.sha256.as_deref()).clone();
            changes.push(DecisionChange::TestPrint(RemarkChange { picture, print, remark: None }));
        }
        self.keep(&changes)
    }

    fn keep(&self, changes: &[DecisionChange]) -> Result<usize, TestPrintError> {
        match decisions::keep(self.request.brief, changes) {
            Ok(_) => Ok(changes.len()),
            Err(KeepError::Broken(problems)) => Err(TestPrintError::Mistakes(problems)),
            Err(other) => Err(TestPrintError::NotKept(other)),
        }
    }
}
