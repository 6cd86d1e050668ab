//! How far a test print is, in JSON.

use serde::Serialize;

use crate::judge::model::test_print::TestPrint;

/// How far a test print is.
#[derive(Serialize)]
pub(crate) struct TestPrintOut<'a> {
    /// `wanted`, `seen` or `seen of an earlier export`.
    state: &'static str,
    /// Whether it may go out as it was seen.
    good: Option<bool>,
    saw: Option<&'a str>,
    by: Option<&'a str>,
    when: Option<&'a str>,
}

impl TestPrintOut<'_> {
    /// `None` where none is asked for.
    pub(crate) fn of(test_print: &TestPrint) -> Option<TestPrintOut<'_>> {
        match test_print {
            TestPrint::NotAsked => None,
            TestPrint::Wanted => Some(TestPrintOut { state: "wanted", good: None, saw: None, by: None, when: None }),
            TestPrint::Seen { seen, earlier, .. } => Some(TestPrintOut {
                state: if *earlier { "seen of an earlier export" } else { "seen" },
                good: Some(seen.good),
                saw: Some(&seen.saw),
                by: Some(&seen.by),
                when: Some(&seen.when),
            }),
        }
    }
}
