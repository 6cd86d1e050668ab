//! Accepting again, as before, a finding that needs it because the picture or the print has changed.

use crate::judge::Row;
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownFinding};
use crate::tui::screen_state::ScreenState;

/// Returns the request to accept the first finding of a row that needs accepting again, with the reason it had; `None`
/// if there is none.
pub fn accept_again(row: &Row, state: &ScreenState) -> Option<LiveCommand> {
    let finding = row.findings.iter().find(|finding| finding.lapsed.is_some())?;
    let before = &finding.lapsed.as_ref()?.acceptance;
    Some(LiveCommand::Accept(AcceptRequest {
        rows: vec![ShownFinding::of(row, finding)],
        left_out_new_rows: 0,
        reason: Some(state.sign(before.reason.clone(), before.allowed_by.clone(), before.is_on_note)),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::acceptance::{Acceptance, AcceptanceReason};
    use crate::judge::judge;
    use crate::judge::model::finding::LapsedAcceptance;
    use crate::judge::testing::{brief, sound_submission};
    use crate::tui::tests::signed_state;

    #[test]
    fn what_needs_accepting_again_is_accepted_as_before_and_nothing_else_is() {
        let state = signed_state();
        let order = brief("[[print]]\nsize = \"8 x 10 in\"");
        let mut again = judge(&order, &[sound_submission("a.jpg", 2000, 2500)]).rows.swap_remove(0);
        assert_eq!(accept_again(&again, &state), None);
        let said = AcceptanceReason {
            reason: "hangs high".to_owned(),
            by: "Ida".to_owned(),
            allowed_by: Some("Corrow Lane".to_owned()),
            when: String::new(),
            is_on_note: true,
        };
        let acceptance = Acceptance::of(&again.findings[0], &again, said).unwrap();
        let why = "its pixels are others".to_owned();
        std::sync::Arc::make_mut(&mut again.findings[0]).lapsed =
            Some(LapsedAcceptance { acceptance: acceptance.into(), why });
        let Some(LiveCommand::Accept(request)) = accept_again(&again, &state) else { panic!("no request") };
        let now = request.reason.unwrap();
        assert!(now.is_on_note);
        assert_eq!(
            (now.reason.as_str(), now.by.as_str(), now.allowed_by.as_deref()),
            ("hangs high", "Maren", Some("Corrow Lane"))
        );
        assert_eq!(request.rows, [ShownFinding::of(&again, &again.findings[0])]);
    }
}
