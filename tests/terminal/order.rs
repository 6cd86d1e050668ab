//! A brief and a folder of small pictures, that exports land in as editors write them.

use std::fs;
use std::path::{Path, PathBuf};

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

/// A brief whose sound pictures are small: 600 x 750 px at 300 ppi.
pub const SMALL: &str = "[[print]]\nsize = \"2 x 2.5 in\"\n";
const SOUND_PX: (u16, u16) = (600, 750);
const SMALL_PX: (u16, u16) = (200, 250);

/// A brief beside an export folder; gone when the test ends.
pub struct Order {
    root: tempfile::TempDir,
}

impl Order {
    /// A brief and an empty folder.
    pub fn new(brief: &str) -> Order {
        let order = Order { root: tempfile::tempdir().unwrap() };
        fs::create_dir(order.folder()).unwrap();
        order.write_brief(brief);
        order
    }

    /// The folder that the brief lies in.
    pub fn place(&self) -> &Path {
        self.root.path()
    }

    fn folder(&self) -> PathBuf {
        self.root.path().join("exports")
    }

    /// Writes the person's own settings.
    pub fn write_settings(&self, text: &str) {
        let folder = self.root.path().join("config/plateside");
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("settings.toml"), text).unwrap();
    }

    /// Saves the brief as editors do: written beside it, then renamed over it.
    pub fn write_brief(&self, text: &str) {
        let beside = self.root.path().join("brief.toml.new");
        fs::write(&beside, text).unwrap();
        fs::rename(beside, self.root.path().join("brief.toml")).unwrap();
    }

    /// Reads the brief.
    pub fn brief(&self) -> String {
        fs::read_to_string(self.root.path().join("brief.toml")).unwrap()
    }

    /// Lets a picture of the asked size land, written elsewhere and renamed into place.
    pub fn sound(&self, name: &str) {
        self.land(name, SOUND_PX);
    }

    /// Lets a picture of a third of the asked size land.
    pub fn small(&self, name: &str) {
        self.land(name, SMALL_PX);
    }

    /// Deletes a picture.
    pub fn remove(&self, name: &str) {
        fs::remove_file(self.folder().join(name)).unwrap();
    }

    fn land(&self, name: &str, size: (u16, u16)) {
        let beside = self.root.path().join("export.part");
        fs::write(&beside, jpeg(name, size)).unwrap();
        fs::rename(beside, self.folder().join(name)).unwrap();
    }
}

/// A soft gradient with an sRGB profile; other pixels for every name, so that no two pictures are the same.
fn jpeg(name: &str, (width, height): (u16, u16)) -> Vec<u8> {
    let blue = 80 + name.bytes().fold(0u8, |sum, byte| sum.wrapping_add(byte)) % 80;
    let part = |at: u16, of: u16| 60 + (u32::from(at) * 120 / u32::from(of)) as u8;
    let pixels: Vec<u8> =
        (0..height).flat_map(|y| (0..width).flat_map(move |x| [part(x, width), part(y, height), blue])).collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 95);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.add_icc_profile(&lcms2::Profile::new_srgb().icc().unwrap()).unwrap();
    encoder.encode(&pixels, width, height, ColorType::Rgb).unwrap();
    bytes
}
