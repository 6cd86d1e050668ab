//! Options that several commands have.

use clap::{Args, ValueEnum};

use crate::report::Strictness;
use crate::tui::thumbnail_mode::ThumbnailMode;

/// How a list is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum OutputFormat {
    /// Text, for reading.
    Text,
    /// JSON, for other programs.
    Json,
    /// CSV, for a spreadsheet.
    Csv,
}

/// How the live table is set up.
#[derive(Clone, Debug, Args)]
pub struct LiveOptions {
    /// Ring the terminal's bell when a row changes to FIX.
    #[arg(long, hide_short_help = true)]
    pub bell: bool,
    /// How thumbnails are drawn.
    #[arg(long, value_enum, value_name = "HOW", default_value_t = ThumbnailChoice::Auto, hide_short_help = true)]
    pub thumbnail: ThumbnailChoice,
    /// Scan the folder at intervals instead of waiting for notifications; for network folders.
    #[arg(long, hide_short_help = true)]
    pub poll: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// How much of the machine is used.
#[derive(Clone, Copy, Debug, Args)]
pub struct WorkOptions {
    /// Pictures to read at the same time [default: the number of processor cores].
    #[arg(long, value_name = "N", hide_short_help = true, value_parser = read_at_once)]
    pub jobs: Option<u16>,
    /// Memory for the pictures being read, for example "512 MB"; a picture that needs more is read alone.
    #[arg(long, value_name = "SIZE", hide_short_help = true, value_parser = crate::units::bytes::parse)]
    pub memory: Option<u64>,
}

/// How text is coloured.
#[derive(Clone, Copy, Debug, Args)]
pub struct TextOptions {
    /// When to colour text.
    #[arg(
        long,
        alias = "color",
        value_enum,
        value_name = "WHEN",
        default_value_t = ColourChoice::Auto,
        hide_short_help = true
    )]
    pub colour: ColourChoice,
}

/// What counts as something to fix.
#[derive(Clone, Copy, Debug, Args)]
pub struct StrictnessOptions {
    /// Count WARN as something to fix.
    #[arg(long)]
    pub strict: bool,
    /// Count MISSING as something to fix.
    #[arg(long)]
    pub complete: bool,
}

/// Most pictures read at the same time. Own choice.
const MAX_AT_ONCE: u16 = 256;

/// Reads how many pictures are read at the same time.
fn read_at_once(text: &str) -> Result<u16, String> {
    let number = text.parse().ok().filter(|number| (1..=MAX_AT_ONCE).contains(number));
    number.ok_or_else(|| format!("write a number from 1 to {MAX_AT_ONCE}"))
}

/// When text is coloured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ColourChoice {
    /// On a terminal, unless NO_COLOR is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

impl From<StrictnessOptions> for Strictness {
    fn from(options: StrictnessOptions) -> Strictness {
        Strictness { is_strict: options.strict, requires_all: options.complete }
    }
}

/// How thumbnails are shown: `--thumbnail auto|graphics|blocks|off`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ThumbnailChoice {
    /// Graphics if the terminal reports that it can show them; half blocks if not, and over a network.
    Auto,
    /// Graphics over a network too, if the terminal can show them.
    Graphics,
    /// Half blocks.
    Blocks,
    /// No thumbnails.
    Off,
}

impl From<ThumbnailChoice> for ThumbnailMode {
    fn from(choice: ThumbnailChoice) -> ThumbnailMode {
        match choice {
            ThumbnailChoice::Auto => ThumbnailMode::Auto,
            ThumbnailChoice::Graphics => ThumbnailMode::Graphics,
            ThumbnailChoice::Blocks => ThumbnailMode::Blocks,
            ThumbnailChoice::Off => ThumbnailMode::Off,
        }
    }
}
