//! Accepting again, as before, a finding that needs it because the picture or the print has changed.

use crate::judge::Row;
use crate::judge::acceptance::AcceptanceReason;
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownRow};

/// Accepts the first finding of a row that needs accepting again, with the reason it had; `None` if there is none.
/// Signed with a name and the time.
pub fn accept_again(row: &Row, (by, when): (String, String)) -> Option<LiveCommand> {
    let finding = row.findings.iter().find(|finding| finding.again.is_some())?;
    let before = &finding.again.as_ref()?.acceptance;
    let (reason, allowed_by, on_note) = (before.reason.clone(), before.allowed_by.clone(), before.on_note);
    let said = AcceptanceReason { reason, by, allowed_by, when, on_note };
    let (rule, about) = (finding.rule.id.to_owned(), finding.about.clone());
    Some(LiveCommand::Accept(AcceptRequest {
        rows: vec![ShownRow::of(row, finding)],
        came: 0,
        rule,
        about,
        said: Some(said),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::acceptance::Acceptance;
    use crate::judge::judge;
    use crate::judge::model::finding::LapsedAcceptance;
    use crate::judge::testing::{brief, delivered};

    #[test]
    fn what_needs_accepting_again_is_accepted_as_before_and_nothing_else_is() {
        let signed = || ("Maren".to_owned(), "2026-11-26T10:00:00Z".to_owned());
        let order = brief("[[print]]\nsize = \"8 x 10 in\"");
        let mut again = judge(&order, &[delivered("a.jpg", 2000, 2500)]).rows.swap_remove(0);
        assert_eq!(accept_again(&again, signed()), None);
        let said = AcceptanceReason {
            reason: "hangs high".to_owned(),
            by: "Ida".to_owned(),
            allowed_by: Some("Corrow Lane".to_owned()),
            when: String::new(),
            on_note: true,
        };
        let acceptance = Acceptance::of(&again.findings[0], &again, said).unwrap();
        let why = "its pixels are others".to_owned();
        std::sync::Arc::make_mut(&mut again.findings[0]).again =
            Some(LapsedAcceptance { acceptance: acceptance.into(), why });
        let Some(LiveCommand::Accept(required)) = accept_again(&again, signed()) else { panic!("no request") };
        let now = required.said.unwrap();
        assert!(now.on_note);
        assert_eq!(
            (now.reason.as_str(), now.by.as_str(), now.allowed_by.as_deref()),
            ("hangs high", "Maren", Some("Corrow Lane"))
        );
        assert_eq!(
            (required.rows, required.rule.as_str()),
            (vec![ShownRow::of(&again, &again.findings[0])], again.findings[0].rule.id)
        );
    }
}
