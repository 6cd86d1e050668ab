//! Colour by its numbers: encodings, profiles and transforms. The only user of the colour engine.
//!
//! Knows nothing of pictures, briefs or rules. Foreign profile bytes are checked here before they reach the engine.

pub mod encoding;

pub mod difference;

pub mod rgb;

pub mod alike;

pub mod builtin;

pub mod lab;

pub mod neutrals;

pub mod numbers;

pub mod paper;

pub mod profile;

pub mod proof;

pub mod sheet;

pub mod shown;

pub use alike::{GridColours, ProfileDistance};
pub use difference::delta_e_2000;
pub use encoding::Encoding;
pub use neutrals::lightness_of_codes;
pub use numbers::{NumberConversion, NumberMeaning, NumberReader};
pub use paper::PaperProfile;
pub use profile::{ProfileClass, ProfileFacts, ProfileFault, ProfileSpace};
pub use proof::{PaperTransform, ProofPaper, ProofRendering};
pub use rgb::Rgb;
pub use sheet::{SheetColours, SheetSpace, ToSheet};
pub use shown::{SampleSource, ToScreen};
