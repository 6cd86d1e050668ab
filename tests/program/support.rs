//! Folders, pictures and runs of the program.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// A brief whose sound pictures are small: 600 x 750 px at 300 ppi.
pub const SMALL: &str = "[[print]]\nsize = \"2 x 2.5 in\"\n";
/// The pixels that `SMALL` wants.
pub const SMALL_PX: (u16, u16) = (600, 750);

/// A folder of a test with a brief beside an export folder; gone when the test ends.
pub struct Job {
    root: tempfile::TempDir,
}

/// How a run ended.
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Job {
    /// A brief and an empty export folder.
    pub fn new(brief: &str) -> Job {
        let root = tempfile::tempdir().unwrap();
        fs::create_dir(root.path().join("exports")).unwrap();
        fs::write(root.path().join("brief.toml"), brief).unwrap();
        Job { root }
    }

    /// A path beside the brief.
    pub fn path(&self, name: &str) -> PathBuf {
        self.root.path().join(name)
    }

    /// A path in the export folder.
    pub fn export(&self, name: &str) -> PathBuf {
        self.root.path().join("exports").join(name)
    }

    /// Exports bytes under a name.
    pub fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.export(name), bytes).unwrap();
    }

    /// Exports a sound sRGB JPEG of the size that [`SMALL`] wants; other bytes for every name.
    pub fn sound(&self, name: &str) {
        let mut bytes = jpeg(SMALL_PX, 95);
        let comment = name.as_bytes();
        let length = u16::try_from(comment.len() + 2).unwrap().to_be_bytes();
        // A comment segment right after the start of the image (ITU-T T.81, B.2.4.5).
        bytes.splice(2..2, [&[0xff, 0xfe][..], &length, comment].concat());
        self.put(name, bytes);
    }

    /// Runs the program beside the brief; words are parted at blanks.
    pub fn run(&self, words: &str) -> Ran {
        let words: Vec<&str> = words.split_whitespace().collect();
        ran(&program(&words, self.root.path()).output().unwrap())
    }

    /// Runs the program beside the brief with a text on its standard input.
    pub fn run_with_input(&self, words: &str, input: &str) -> Ran {
        let words: Vec<&str> = words.split_whitespace().collect();
        let typed = self.path("typed.txt");
        fs::write(&typed, input).unwrap();
        let mut program = program(&words, self.root.path());
        ran(&program.stdin(fs::File::open(typed).unwrap()).output().unwrap())
    }

    /// Checks the folder with more words.
    pub fn check(&self, words: &str) -> Ran {
        self.run(&format!("check brief.toml exports {words}"))
    }

    /// Checks the folder and reads the JSON.
    pub fn json(&self) -> Value {
        let ran = self.check("--format json");
        serde_json::from_str(&ran.out).unwrap_or_else(|error| panic!("{error}: {}\n{}", ran.out, ran.err))
    }

    /// The row of a picture in the JSON.
    pub fn row(&self, picture: &str) -> Value {
        let check = self.json();
        let rows = check["rows"].as_array().unwrap();
        rows.iter().find(|row| row["picture"] == picture).unwrap_or_else(|| panic!("no row {picture}: {check}")).clone()
    }
}

/// The program with words, nothing on its standard input, and an environment that says no more than it must.
pub fn program(words: &[&str], beside: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_plateside"));
    command.args(words).current_dir(beside).stdin(Stdio::null()).env_remove("NO_COLOR");
    command.env("XDG_CACHE_HOME", beside.join("cache")).env("XDG_CONFIG_HOME", beside.join("config"));
    command
}

/// What a run said and how it ended.
pub fn ran(output: &Output) -> Ran {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("the program writes UTF-8");
    Ran { status: output.status.code().unwrap_or(-1), out: text(&output.stdout), err: text(&output.stderr) }
}

impl Ran {
    /// Fails unless the run ended so.
    #[track_caller]
    pub fn ends(self, status: i32) -> Ran {
        assert_eq!(self.status, status, "standard output:\n{}\nstandard error:\n{}", self.out, self.err);
        self
    }

    /// Fails unless standard output says all these words.
    #[track_caller]
    pub fn says(self, words: &[&str]) -> Ran {
        for words in words {
            assert!(flat(&self.out).contains(words), "\"{words}\" is missing in:\n{}\n{}", self.out, self.err);
        }
        self
    }

    /// Fails unless standard error says all these words.
    #[track_caller]
    pub fn complains(self, words: &[&str]) -> Ran {
        for words in words {
            assert!(flat(&self.err).contains(words), "\"{words}\" is missing in:\n{}", self.err);
        }
        self
    }
}

/// A text with every break and run of blanks made one blank: lines are broken to a width.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An sRGB profile, as the colour engine writes it.
pub fn srgb() -> Vec<u8> {
    lcms2::Profile::new_srgb().icc().unwrap()
}

/// A soft gradient: nothing in it is blown or lost.
fn gradient((width, height): (u16, u16)) -> Vec<u8> {
    let part = |at: u16, of: u16| 60 + (u32::from(at) * 120 / u32::from(of)) as u8;
    (0..height).flat_map(|y| (0..width).flat_map(move |x| [part(x, width), part(y, height), 120])).collect()
}

/// A JPEG with an sRGB profile and without subsampling.
pub fn jpeg(size: (u16, u16), quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder.add_icc_profile(&srgb()).unwrap();
    encoder.encode(&gradient(size), size.0, size.1, jpeg_encoder::ColorType::Rgb).unwrap();
    bytes
}

/// A PNG with an sRGB profile.
pub fn png(size: (u16, u16)) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut info = png::Info::with_size(size.0.into(), size.1.into());
    info.color_type = png::ColorType::Rgb;
    info.bit_depth = png::BitDepth::Eight;
    info.icc_profile = Some(srgb().into());
    let mut writer = png::Encoder::with_info(&mut bytes, info).unwrap().write_header().unwrap();
    writer.write_image_data(&gradient(size)).unwrap();
    writer.finish().unwrap();
    bytes
}

/// A 16-bit TIFF with an sRGB profile (tag 34675).
pub fn tiff(size: (u16, u16)) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let samples: Vec<u16> = gradient(size).into_iter().map(|sample| u16::from(sample) * 257).collect();
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut bytes).unwrap();
    let mut image = encoder.new_image::<tiff::encoder::colortype::RGB16>(size.0.into(), size.1.into()).unwrap();
    image.encoder().write_tag(tiff::tags::Tag::IccProfile, &srgb()[..]).unwrap();
    image.write_data(&samples).unwrap();
    bytes.into_inner()
}
