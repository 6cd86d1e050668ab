//! The picture that is selected on the screen: its thumbnail and its proofs.

use crate::brief::Brief;
use crate::judge::Pixels;
use crate::live::effect::Effect;
use crate::live::entries::Entries;
use crate::live::proofs::Proofs;
use crate::live::snapshot::ShownProof;
use crate::live::thumbnails::Thumbnails;
use crate::picture::PictureKey;
use crate::reading::inspect::UprightThumbnail;
use crate::reading::job::{Job, Task, Ticket};

/// The picture viewed on screen.
#[derive(Debug, Default)]
pub struct Selection {
    /// The picture, if one is selected.
    pub picture: Option<PictureKey>,
    /// Thumbnails in memory, and the one that is shown.
    pub thumbnails: Thumbnails,
    /// The selected picture's proofs.
    pub proofs: Proofs,
}

impl Selection {
    /// True if this picture is selected.
    pub fn is(&self, picture: &PictureKey) -> bool {
        self.picture.as_ref() == Some(picture)
    }

    /// Selects a picture or none. Stops showing another's thumbnail.
    pub fn select(&mut self, picture: Option<PictureKey>) -> Option<Effect> {
        if self.picture == picture {
            return None;
        }
        self.picture = picture;
        let is_other = self.thumbnails.shown().is_some_and(|shown| !self.is(&shown.picture));
        (is_other && self.thumbnails.show_nothing()).then_some(Effect::ShowThumbnail(None))
    }

    /// Returns the jobs for the selected picture's thumbnail, if not there yet.
    pub fn thumbnail_jobs(&mut self, entries: &Entries) -> Vec<Job> {
        let Some(key) = &self.picture else { return Vec::new() };
        let Some((entry, facts)) = entries.get(key).and_then(|entry| Some((entry, entry.facts()?.clone()))) else {
            return Vec::new();
        };
        let shown = self.thumbnails.shown().filter(|shown| shown.version == entry.version && shown.picture == *key);
        let (nothing_yet, all_there) = (shown.is_none(), shown.is_some_and(|shown| !shown.is_preview));
        if all_there {
            return Vec::new();
        }
        if let Some(thumbnail) = self.thumbnails.get(entry.version) {
            return vec![entry.job(key, Task::ConvertThumbnail(facts, thumbnail))];
        }
        let preview = nothing_yet.then(|| Task::Preview(facts.clone()));
        let again = matches!(entry.pixels, Pixels::Read(_)).then_some(Task::RereadPixels(facts));
        preview.into_iter().chain(again).map(|task| entry.job(key, task)).collect()
    }

    /// Returns the job for the proof being viewed, if not there yet.
    pub fn proof_job(&mut self, brief: &Brief, entries: &Entries) -> Option<Job> {
        let key = self.picture.as_ref()?;
        let entry = entries.get(key)?;
        let facts = entry.facts()?;
        let thumbnail = self.thumbnails.get(entry.version)?;
        let request = self.proofs.request_missing(brief, key, entry.version)?;
        Some(entry.job(key, Task::Proof(facts.clone(), thumbnail, request)))
    }

    /// Returns the proof to show instead of the last one, if it differs.
    pub fn take_changed_proof(&mut self) -> Option<ShownProof> {
        self.proofs.take_changed(self.picture.as_ref())
    }

    /// Takes in a thumbnail drawn for the screen. A preview never replaces the picture itself.
    pub fn take_drawn(&mut self, ticket: &Ticket, upright: UprightThumbnail, preview: bool) -> Option<Effect> {
        let shown = self.thumbnails.shown();
        let real_is_there = shown.is_some_and(|shown| shown.version == ticket.version && !shown.is_preview);
        if !self.is(&ticket.key) || (preview && real_is_there) {
            return None;
        }
        Some(Effect::ShowThumbnail(Some(self.thumbnails.show(ticket.key.clone(), ticket.version, upright, preview))))
    }
}
