//! The commands that only show: what to export, pictures with their facts, print sizes.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::options::{OutputFormat, TextOptions, ThumbnailChoice};

/// `plateside spec`
#[derive(Debug, Args)]
pub struct SpecArgs {
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// Format of the list.
    #[arg(long, value_enum, default_value_t = OutputFormat::Text)]
    pub format: OutputFormat,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside look`
#[derive(Debug, Args)]
pub struct LookArgs {
    /// The pictures.
    #[arg(value_name = "PICTURE", required = true)]
    pub pictures: Vec<PathBuf>,
    /// Format; json holds what is measured on the pixels.
    #[arg(long, value_enum, default_value_t = LookFormat::Text)]
    pub format: LookFormat,
    /// How thumbnails are drawn.
    #[arg(long, value_enum, value_name = "HOW", default_value_t = ThumbnailChoice::Auto)]
    pub thumbnail: ThumbnailChoice,
    #[command(flatten)]
    pub text: TextOptions,
}

/// How `look` writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum LookFormat {
    /// Thumbnail, facts and measurements, for reading.
    #[default]
    Text,
    /// Measurements as JSON.
    Json,
}

/// `plateside sizes`
#[derive(Debug, Args)]
pub struct SizesArgs {
    /// Pictures, or folders of pictures; only their headers are read.
    #[arg(value_name = "PICTURE", required = true)]
    pub pictures: Vec<PathBuf>,
    /// Also list this brief's prints, with the verdict on each size.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// Format of the list.
    #[arg(long, value_enum, default_value_t = OutputFormat::Text)]
    pub format: OutputFormat,
    #[command(flatten)]
    pub text: TextOptions,
}
