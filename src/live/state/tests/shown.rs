//! What the selected picture shows: preview, thumbnail and proof.

use super::*;

#[test]
fn the_selected_picture_shows_its_preview_then_itself_and_nothing_of_another() {
    let mut table = SteppedTable::with_one(2400);
    let row = table.row().row.key.clone();
    let look =
        |selected: Option<RowKey>| Event::Command(LiveCommand::ShowRows { selected, visible: vec![], proof: None });
    let show = jobs(&table.event(look(Some(row)))).remove(0);
    assert_eq!(show.kind(), JobKind::ConvertThumbnail, "its thumbnail is still in memory");
    let upright = crate::reading::inspect::UprightThumbnail { width_px: 1, height_px: 1, rgb: vec![0; 3] };
    let drawn = |is_preview| JobResult::Drawn { upright: Some(upright.clone()), is_preview };
    let orders = table.event(Event::JobDone(show.ticket.clone(), drawn(false)));
    assert!(matches!(&orders[..], [Effect::ShowThumbnail(Some(shown))] if !shown.is_preview));
    assert_eq!(table.event(Event::JobDone(show.ticket.clone(), drawn(true))), [], "the preview comes too late");
    assert!(table.event(look(None)).contains(&Effect::ShowThumbnail(None)));
    assert_eq!(table.event(Event::JobDone(show.ticket, drawn(false))), [], "it is no longer selected");
}

#[test]
fn a_thumbnail_that_made_room_is_made_again_with_the_preview_meanwhile() {
    let mut table = SteppedTable::with_one(2400);
    table.state.selection.thumbnails = crate::live::thumbnails::Thumbnails::default();
    let selected = Some(table.row().row.key.clone());
    let orders = table.event(Event::Command(LiveCommand::ShowRows { selected, visible: vec![], proof: None }));
    assert_eq!(kinds(&orders), [JobKind::Preview, JobKind::RereadPixels]);
    let again: Ticket = jobs(&orders).remove(1).ticket;
    let orders =
        table.event(Event::JobDone(again, JobResult::Pixels(Ok(ReadPicture::in_memory(testing::evidence("x"))))));
    assert_eq!(kinds(&orders), [JobKind::ConvertThumbnail]);
    assert_eq!(table.row().row.state, RowState::Pass);
}

#[test]
fn a_proof_is_made_once_and_comes_back_at_once() {
    let mut table = SteppedTable::with_one(2400);
    let row = table.row().row.key.clone();
    let look = |proof| Event::Command(LiveCommand::ShowRows { selected: Some(row.clone()), visible: vec![], proof });
    let orders = table.event(look(Some(ProofRendering::Relative)));
    let job = jobs(&orders).into_iter().find(|job| job.kind() == JobKind::Proof).unwrap();
    let Task::Proof(_, _, request) = &job.task else { panic!("{job:?}") };
    // The brief's paper is glossy photo paper; only its black and white are used for the proof.
    let ProofPaper::Levels { black, white } = request.paper else { panic!("{request:?}") };
    assert!((0.001..0.02).contains(&black) && (0.7..1.0).contains(&white), "{black} {white}");

    let upright = crate::reading::inspect::UprightThumbnail { width_px: 1, height_px: 1, rgb: vec![7; 3] };
    let orders = table.event(Event::JobDone(
        job.ticket.clone(),
        JobResult::Proofed { request: Some(request.clone()), upright: Some(upright) },
    ));
    let [Effect::ShowProof(ShownProof::Made(proof))] = orders.as_slice() else { panic!("{orders:?}") };
    assert_eq!((proof.proof.unwrap().rendering, proof.proof.unwrap().is_by_profile), (ProofRendering::Relative, false));

    assert!(
        kinds(&table.event(look(Some(ProofRendering::Perceptual)))).contains(&JobKind::Proof),
        "another rendering, another proof"
    );
    assert!(!kinds(&table.event(look(None))).contains(&JobKind::Proof));
    let orders = table.event(look(Some(ProofRendering::Relative)));
    assert!(
        orders
            .iter()
            .any(|order| matches!(order, Effect::ShowProof(ShownProof::Made(again)) if Arc::ptr_eq(again, proof)))
    );
    assert!(!kinds(&orders).contains(&JobKind::Proof), "it is there already");
}

#[test]
fn a_proof_whose_job_was_dropped_is_asked_for_again() {
    let mut table = SteppedTable::with_one(2400);
    let row = table.row().row.key.clone();
    let look = |selected| {
        Event::Command(LiveCommand::ShowRows { selected, visible: vec![], proof: Some(ProofRendering::Relative) })
    };
    assert!(kinds(&table.event(look(Some(row.clone())))).contains(&JobKind::Proof));
    table.event(look(None));
    assert!(kinds(&table.event(look(Some(row)))).contains(&JobKind::Proof));
}

#[test]
fn a_proof_that_cannot_be_made_is_said_and_not_asked_for_again() {
    let mut table = SteppedTable::with_one(2400);
    let row = table.row().row.key.clone();
    let look = || {
        Event::Command(LiveCommand::ShowRows {
            selected: Some(row.clone()),
            visible: vec![],
            proof: Some(ProofRendering::Relative),
        })
    };
    let job = jobs(&table.event(look())).into_iter().find(|job| job.kind() == JobKind::Proof).unwrap();
    let orders = table.event(Event::JobDone(job.ticket, JobResult::Proofed { request: None, upright: None }));
    assert!(
        matches!(orders.as_slice(), [Effect::ShowProof(ShownProof::Impossible(ProofRendering::Relative))]),
        "{orders:?}"
    );
    assert!(!kinds(&table.event(look())).contains(&JobKind::Proof));
}
