//! Colour by its numbers: encodings, profiles and transforms. The only user of the colour engine.
//!
//! Knows nothing of pictures, briefs or rules. Foreign profile bytes are checked here before they reach the engine.

pub mod builtin;
pub mod difference;
pub mod encoding;
pub mod lab;
pub mod neutral_lightness;
pub mod numbers;
pub mod paper_profile;
pub mod profile;
pub mod profile_distance;
pub mod proof;
pub mod rgb;
pub mod sheet;
pub mod to_screen;

mod engine_lab;

pub use difference::delta_e_2000;
pub use encoding::Encoding;
pub use neutral_lightness::lightness_of_codes;
pub use numbers::{NumberConversion, NumberMeaning, NumberReader};
pub use paper_profile::PaperProfile;
pub use profile::{ProfileClass, ProfileFacts, ProfileFault, ProfileSpace};
pub use profile_distance::{GridColours, ProfileDistance};
pub use proof::{PaperTransform, ProofPaper, ProofRendering};
pub use rgb::Rgb;
pub use sheet::{SheetColours, SheetSpace, ToSheet};
pub use to_screen::{SampleSource, ToScreen};
