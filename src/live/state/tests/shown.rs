//! What the selected picture shows: preview, thumbnail and proof.

use super::*;

#[test]
fn the_selected_picture_shows_its_preview_then_itself_and_nothing_of_another() {
    let mut bench = Bench::with_one(2400);
    let row = bench.row().row.key.clone();
    let look =
        |selected: Option<RowKey>| Event::Asked(LiveCommand::ShowRows { selected, visible: vec![], proof: None });
    let show = jobs(&bench.event(look(Some(row)))).remove(0);
    assert_eq!(show.kind(), JobKind::Show, "its thumbnail is still in memory");
    let upright = crate::reading::inspect::UprightThumbnail { width_px: 1, height_px: 1, rgb: vec![0; 3] };
    let drawn = |preview| JobResult::Drawn { upright: Some(upright.clone()), preview };
    let orders = bench.event(Event::Worked(show.ticket.clone(), drawn(false)));
    assert!(matches!(&orders[..], [Effect::Show(Some(shown))] if !shown.preview));
    assert_eq!(bench.event(Event::Worked(show.ticket.clone(), drawn(true))), [], "the preview comes too late");
    assert!(bench.event(look(None)).contains(&Effect::Show(None)));
    assert_eq!(bench.event(Event::Worked(show.ticket, drawn(false))), [], "it is no longer selected");
}

#[test]
fn a_thumbnail_that_made_room_is_made_again_with_the_preview_meanwhile() {
    let mut bench = Bench::with_one(2400);
    bench.state.selection.thumbnails = crate::live::thumbnails::Thumbnails::default();
    let selected = Some(bench.row().row.key.clone());
    let orders = bench.event(Event::Asked(LiveCommand::ShowRows { selected, visible: vec![], proof: None }));
    assert_eq!(kinds(&orders), [JobKind::Preview, JobKind::Again]);
    let again: Ticket = jobs(&orders).remove(1).ticket;
    let orders =
        bench.event(Event::Worked(again, JobResult::Pixels(Ok(ReadPicture::in_memory(testing::evidence("x"))))));
    assert_eq!(kinds(&orders), [JobKind::Show]);
    assert_eq!(bench.row().row.state, RowState::Pass);
}

#[test]
fn a_proof_is_made_once_and_comes_back_at_once() {
    let mut bench = Bench::with_one(2400);
    let row = bench.row().row.key.clone();
    let look = |proof| Event::Asked(LiveCommand::ShowRows { selected: Some(row.clone()), visible: vec![], proof });
    let orders = bench.event(look(Some(ProofRendering::Relative)));
    let job = jobs(&orders).into_iter().find(|job| job.kind() == JobKind::Proof).unwrap();
    let Task::Proof(_, _, request) = &job.task else { panic!("{job:?}") };
    // The brief's paper is glossy photo paper; only its black and white are used for the proof.
    let ProofPaper::Levels { black, white } = request.paper else { panic!("{request:?}") };
    assert!((0.001..0.02).contains(&black) && (0.7..1.0).contains(&white), "{black} {white}");

    let upright = crate::reading::inspect::UprightThumbnail { width_px: 1, height_px: 1, rgb: vec![7; 3] };
    let orders = bench.event(Event::Worked(
        job.ticket.clone(),
        JobResult::Proofed { request: Some(request.clone()), upright: Some(upright) },
    ));
    let [Effect::ShowProof(ShownProof::Made(proof))] = orders.as_slice() else { panic!("{orders:?}") };
    assert_eq!((proof.proof.unwrap().rendering, proof.proof.unwrap().by_profile), (ProofRendering::Relative, false));

    assert!(
        kinds(&bench.event(look(Some(ProofRendering::Perceptual)))).contains(&JobKind::Proof),
        "another rendering, another proof"
    );
    assert!(!kinds(&bench.event(look(None))).contains(&JobKind::Proof));
    let orders = bench.event(look(Some(ProofRendering::Relative)));
    assert!(
        orders
            .iter()
            .any(|order| matches!(order, Effect::ShowProof(ShownProof::Made(again)) if Arc::ptr_eq(again, proof)))
    );
    assert!(!kinds(&orders).contains(&JobKind::Proof), "it is there already");
}

#[test]
fn a_proof_whose_job_was_dropped_is_asked_for_again() {
    let mut bench = Bench::with_one(2400);
    let row = bench.row().row.key.clone();
    let look = |selected| {
        Event::Asked(LiveCommand::ShowRows { selected, visible: vec![], proof: Some(ProofRendering::Relative) })
    };
    assert!(kinds(&bench.event(look(Some(row.clone())))).contains(&JobKind::Proof));
    bench.event(look(None));
    assert!(kinds(&bench.event(look(Some(row)))).contains(&JobKind::Proof));
}

#[test]
fn a_proof_that_cannot_be_made_is_said_and_not_asked_for_again() {
    let mut bench = Bench::with_one(2400);
    let row = bench.row().row.key.clone();
    let look = || {
        Event::Asked(LiveCommand::ShowRows {
            selected: Some(row.clone()),
            visible: vec![],
            proof: Some(ProofRendering::Relative),
        })
    };
    let job = jobs(&bench.event(look())).into_iter().find(|job| job.kind() == JobKind::Proof).unwrap();
    let orders = bench.event(Event::Worked(job.ticket, JobResult::Proofed { request: None, upright: None }));
    assert!(
        matches!(orders.as_slice(), [Effect::ShowProof(ShownProof::Impossible(ProofRendering::Relative))]),
        "{orders:?}"
    );
    assert!(!kinds(&bench.event(look())).contains(&JobKind::Proof));
}
