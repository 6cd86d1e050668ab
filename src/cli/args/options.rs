//! Options that several commands have.

use clap::{Args, ValueEnum};

use crate::report::Strictness;
use crate::tui::thumbnail_mode::ThumbnailMode;

/// How the live table is set up.
#[derive(Clone, Debug, Args)]
pub struct LiveOptions {
    /// How thumbnails are drawn.
    #[arg(long, value_enum, value_name = "HOW", default_value_t = ThumbnailChoice::Auto)]
    pub thumbnail: ThumbnailChoice,
    #[command(flatten)]
    pub work: WorkOptions,
    /// Look at the folder again and again instead of waiting to be told; for network folders.
    #[arg(long)]
    pub poll: bool,
    /// Ring the terminal's bell when a row turns FIX.
    #[arg(long)]
    pub bell: bool,
}

/// How much of the machine is used.
#[derive(Clone, Copy, Debug, Args)]
pub struct WorkOptions {
    /// Pictures read at the same time; without it, as many as the machine has cores.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub jobs: Option<u16>,
    /// Memory for the pictures that are read at the same time, such as 512 MB; a larger one is read alone.
    #[arg(long, value_name = "SIZE", value_parser = crate::units::bytes::parse)]
    pub memory: Option<u64>,
}

/// How text is coloured.
#[derive(Clone, Copy, Debug, Args)]
pub struct TextOptions {
    /// When text is coloured; auto means on a terminal, unless NO_COLOR is set.
    #[arg(long, alias = "color", value_enum, value_name = "WHEN", default_value_t = ColourChoice::Auto)]
    pub colour: ColourChoice,
}

/// What counts as something to fix.
#[derive(Clone, Copy, Debug, Args)]
pub struct StrictnessOptions {
    /// Warnings count as something to fix.
    #[arg(long)]
    pub strict: bool,
    /// Missing pictures count as something to fix.
    #[arg(long)]
    pub complete: bool,
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
        Strictness { strict: options.strict, complete: options.complete }
    }
}

/// How thumbnails are shown: `--thumbnail auto|graphics|blocks|off`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ThumbnailChoice {
    /// Graphics where the terminal answers that it can, half blocks elsewhere and over a network.
    Auto,
    /// Graphics also over a network, if the terminal can.
    Graphics,
    /// Half blocks.
    Blocks,
    /// None.
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
