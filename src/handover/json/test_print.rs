//! How far a test print is, in JSON.

use serde::Serialize;

use crate::judge::test_print::TestPrint;

/// How far a test print is.
#[derive(Serialize)]
pub(super) struct TestPrintOut<'a> {
    /// `wanted`, `seen`, `seen and not good enough` or `seen of an earlier export`.
    state: &'static str,
    saw: Option<&'a str>,
    by: Option<&'a str>,
    when: Option<&'a str>,
}

impl TestPrintOut<'_> {
    /// `None` where none is asked for.
    pub(super) fn of(test_print: &TestPrint) -> Option<TestPrintOut<'_>> {
        match test_print {
            TestPrint::NotAsked => None,
            TestPrint::Wanted => Some(TestPrintOut { state: "wanted", saw: None, by: None, when: None }),
            TestPrint::Seen { seen, earlier, .. } => Some(TestPrintOut {
                state: match (earlier, seen.good) {
                    (true, _) => "seen of an earlier export",
                    (false, true) => "seen",
                    (false, false) => "seen and not good enough",
                },
                saw: Some(&seen.saw),
                by: Some(&seen.by),
                when: Some(&seen.when),
            }),
        }
    }
}
