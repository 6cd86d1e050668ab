//! The dishes of the shoot, one file each: what lies where, and how it is looked at.
pub mod barley_broth;
pub mod beetroot;
pub mod buckwheat_crepes;
pub mod cards;
pub mod leeks;
pub mod mackerel;
pub mod oyster_board;
pub mod plum_tart;
pub mod props;
pub mod spread;
