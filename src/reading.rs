//! Reading pictures: listing the folder, header and pixels of each by a pool of workers within a memory budget,
//! evidence kept in memory and on disk, the check of an order at once, and what commands do with its pictures.

pub mod accepting;
pub mod among_exports;
pub mod batch;
pub mod check_report;
pub mod checked;
pub mod evidence_cache;
pub mod evidence_spill;
pub mod fence;
pub mod inspect;
pub mod job;
pub mod limits;
pub mod memory_budget;
pub mod naming;
pub mod proof;
pub mod queue;
pub mod recent;
pub mod roster;
pub mod scan;
pub mod subject_box;
#[cfg(test)]
pub mod testing;
pub mod threads;
pub mod work_limits;
pub mod worker;
