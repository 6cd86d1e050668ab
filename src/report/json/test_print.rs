//! The state of a test print, in JSON.

use serde::Serialize;

use crate::judge::model::test_print::TestPrint;

/// The state of a test print.
#[derive(Serialize)]
pub(crate) struct TestPrintOut<'a> {
    /// `wanted`, `seen` or `seen of an earlier export`.
    state: &'static str,
    /// True if the picture may go out as it was seen.
    good: Option<bool>,
    saw: Option<&'a str>,
    by: Option<&'a str>,
    when: Option<&'a str>,
}

impl TestPrintOut<'_> {
    /// Returns `None` if none is required.
    pub(crate) fn of(test_print: &TestPrint) -> Option<TestPrintOut<'_>> {
        match test_print {
            TestPrint::NotRequired => None,
            TestPrint::Required => {
                Some(TestPrintOut { state: "required", good: None, saw: None, by: None, when: None })
            }
            TestPrint::Seen { remark, is_of_earlier_export, .. } => Some(TestPrintOut {
                state: if *is_of_earlier_export { "seen of an earlier export" } else { "seen" },
                good: Some(remark.is_approved),
                saw: Some(&remark.saw),
                by: Some(&remark.by),
                when: Some(&remark.when),
            }),
        }
    }
}
