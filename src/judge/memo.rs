//! Rows that were asked before and need not be asked again: the same print, the same file, the same brief.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, Print};
use crate::judge::asking;
use crate::judge::delivered::{Delivered, Header, Pixels};
use crate::judge::row::{NotAnswered, Row, RowKey};

/// Rows of the last judgement, before the order as a whole was asked. Holds no more rows than that judgement had.
#[derive(Debug, Default)]
pub struct Memo {
    /// Which rules held of the row that was asked last, and which had no answer: the next is likely to say the same.
    alike: (Arc<[&'static str]>, Arc<[NotAnswered]>),
    brief: Option<Arc<Brief>>,
    last: HashMap<RowKey, Box<Asked>>,
    next: HashMap<RowKey, Box<Asked>>,
}

/// A row as it was asked, and of which file.
#[derive(Debug)]
struct Asked {
    file: Delivered,
    row: Arc<Row>,
}

impl Memo {
    /// Begins a judgement; rows of another brief are forgotten.
    pub(super) fn begin(&mut self, brief: &Arc<Brief>) {
        if !self.brief.as_ref().is_some_and(|last| Arc::ptr_eq(last, brief)) {
            self.last.clear();
            self.brief = Some(brief.clone());
        }
        self.next.clear();
    }

    /// The row of a picture for a print, asked anew only if the file is not the one of last time.
    pub(super) fn row(&mut self, print: &Print, delivered: &Delivered) -> Arc<Row> {
        let key = RowKey { print: Some(print.id.clone()), picture: Some(delivered.key.clone()) };
        let asked = match self.last.remove(&key) {
            Some(asked) if is_same(&asked.file, delivered) => asked,
            _ => Box::new(Asked { file: delivered.clone(), row: Arc::new(self.asked_anew(print, delivered)) }),
        };
        let row = asked.row.clone();
        self.next.insert(key, asked);
        row
    }

    fn asked_anew(&mut self, print: &Print, delivered: &Delivered) -> Row {
        let mut row = asking::row(print, delivered);
        share(&mut self.alike.0, &mut row.passed);
        share(&mut self.alike.1, &mut row.not_answered);
        row
    }

    /// Ends a judgement; rows that are no more are forgotten.
    pub(super) fn end(&mut self) {
        self.last = std::mem::take(&mut self.next);
    }
}

/// Keeps one list where two say the same; else the newer is known from now on.
fn share<T: PartialEq>(known: &mut Arc<[T]>, now: &mut Arc<[T]>) {
    if known == now { now.clone_from(known) } else { known.clone_from(now) }
}

/// Whether nothing is known of the file that was not known before. Facts and what was counted are compared by where
/// they lie: the memo keeps them alive, so the place cannot be another's.
fn is_same(before: &Delivered, now: &Delivered) -> bool {
    let header = match (&before.header, &now.header) {
        (Header::Read(one), Header::Read(other)) => Arc::ptr_eq(one, other),
        (Header::Read(_), _) | (_, Header::Read(_)) => false,
        (one, other) => one == other,
    };
    let pixels = match (&before.pixels, &now.pixels) {
        (Pixels::Read(one), Pixels::Read(other)) => Arc::ptr_eq(one, other),
        (Pixels::Read(_), _) | (_, Pixels::Read(_)) => false,
        (one, other) => one == other,
    };
    header
        && pixels
        && before.subjects == now.subjects
        && before.acceptances == now.acceptances
        && before.seen == now.seen
        && before.modified_ns == now.modified_ns
        && before.name_is_utf8 == now.name_is_utf8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::Folder;
    use crate::judge::testing::{brief, delivered, with_facts};
    use crate::judge::{Judgement, judge, judge_again};

    fn again(brief: &Arc<Brief>, files: &[Delivered], memo: &mut Memo) -> Judgement {
        let folder = Folder { files: files.to_vec(), ..Folder::default() };
        let Judgement { rows, order_findings } = judge_again(brief, &folder, memo);
        Judgement { rows: rows.iter().map(|row| Row::clone(row)).collect(), order_findings }
    }

    #[test]
    fn judging_again_says_what_judging_anew_says() {
        let first = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let second = Arc::new(brief("[density]\nleast = \"299 ppi\"\n[[print]]\nsize = \"8 x 10 in\""));
        let mut files = vec![delivered("a.jpg", 2400, 3000), delivered("b.jpg", 900, 900)];
        let mut memo = Memo::default();
        assert_eq!(again(&first, &files, &mut memo), judge(&first, &files));
        files[1] = with_facts(files[1].clone(), |f| f.width_px = 2400);
        assert_eq!(again(&first, &files, &mut memo), judge(&first, &files));
        assert_eq!(again(&second, &files, &mut memo), judge(&second, &files));
        files.remove(0);
        assert_eq!(again(&second, &files, &mut memo), judge(&second, &files));
        assert_eq!(memo.last.len(), 1);
    }
}
