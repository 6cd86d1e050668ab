//! Dishes of an invented cookbook, one file each: their objects, their light, and the camera that each is made for.
//! Lengths in units of 10 cm, the middle of the table at the origin.
mod barley_broth;
mod beetroot;
mod buckwheat_crepes;
mod leeks;
mod long_table;
mod mackerel;
mod oyster_board;
mod plum_tart;
mod props;

pub use barley_broth::barley_broth;
pub use beetroot::beetroot;
pub use buckwheat_crepes::buckwheat_crepes;
pub use leeks::leeks;
pub use long_table::long_table;
pub use mackerel::{mackerel, salted_mackerel};
pub use oyster_board::oyster_board;
pub use plum_tart::plum_tart;
