//! What the trade calls the things that a brief names otherwise: words that are taken for a value, words that get an
//! answer instead of a guess, and other names of keys and tables. Source: common practice, from memory.

use super::key::{BriefKey, ValueKind};
use super::key_table;
use super::renamed;

/// What a word of the trade says for a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TradeMeaning {
    /// The same as this word of the brief.
    Same(&'static str),
    /// Not a word for it: why, and the word to write.
    Instead(&'static str, &'static str),
    /// Not a word for it: why, and what to do.
    Answer(String, String),
}

/// Words that mean a value of a key: path, value, words. A trailing `*` matches any ending.
const SAME: &[(&str, &str, &[&str])] = &[
    (
        "paper.stock",
        "photo paper",
        &["photo", "photographic", "rc", "resin coated", "baryta", "fibre based", "fiber based"],
    ),
    (
        "paper.stock",
        "cotton",
        &["cotton rag", "rag", "fine art", "etching", "watercolour", "watercolor", "alpha cellulose"],
    ),
    ("paper.stock", "canvas", &["cotton canvas", "stretched canvas", "polycotton canvas"]),
    ("paper.stock", "metal", &["aluminium", "aluminum", "metal panel", "aluminium composite", "aluminum composite"]),
    ("paper.stock", "acrylic", &["acrylic glass", "acrylic block", "acrylic face mount", "face mounted acrylic"]),
    ("paper.stock", "wood", &["plywood", "birch", "wood panel"]),
    ("paper.stock", "coated", &["c2s", "coated two sides"]),
    ("paper.stock", "uncoated", &["offset paper", "bond", "woodfree uncoated", "uncoated woodfree"]),
    ("paper.stock", "newsprint", &["newspaper"]),
    ("paper.surface", "gloss", &["glossy", "high gloss"]),
    (
        "paper.surface",
        "lustre",
        &["luster", "semi gloss", "satin", "pearl", "silk", "semi matte", "semi matt", "soft gloss"],
    ),
    ("paper.surface", "matte", &["matt", "flat", "dull", "deep matte"]),
    (
        "paper.process",
        "silver halide",
        &[
            "c print",
            "c type",
            "digital c type",
            "chromogenic",
            "photographic",
            "silver gelatin",
            "minilab",
            "wet lab",
            "ra4",
        ],
    ),
    ("paper.process", "inkjet", &["giclee", "giclée", "pigment", "pigment ink", "pigment inkjet", "archival pigment"]),
    ("paper.process", "dye sublimation", &["dye sub", "sublimation"]),
    (
        "paper.process",
        "offset",
        &["litho", "offset litho", "lithography", "offset lithography", "sheetfed", "web offset"],
    ),
    (
        "paper.process",
        "toner",
        &["electrophotography", "dry toner", "liquid toner", "digital press", "laser", "xerography"],
    ),
    ("margins.edge", "borderless", &["no border", "without border", "edge to edge"]),
    ("margins.edge", "border", &["white border", "bordered", "with border"]),
    ("margins.edge", "wrap", &["wrapped", "gallery wrap", "canvas wrap", "image wrap", "wraparound"]),
    ("margins.edge", "bleed", &["with bleed"]),
    ("colour.space", "srgb", &["srgb iec61966*", "standard rgb"]),
    ("colour.space", "adobe rgb", &["adobe rgb 1998", "adobe", "argb"]),
    ("colour.space", "display p3", &["p3"]),
    ("colour.space", "prophoto rgb", &["prophoto", "romm", "romm rgb"]),
    ("colour.space", "grey", &["gray", "greyscale", "grayscale", "b&w", "black and white", "monochrome"]),
    ("colour.space", "cmyk", &["4c", "four colour", "four color"]),
    ("colour.space", "paper", &["printer's profile", "paper profile"]),
    ("file.formats", "jpeg", &["jpg", "jfif"]),
    ("file.formats", "tiff", &["tif"]),
    ("file.credit", "creator", &["author", "photographer", "byline", "artist"]),
    ("file.credit", "copyright", &["rights", "copyright notice"]),
    ("file.credit", "caption", &["description"]),
    ("file.credit", "credit line", &["credit"]),
    ("file.location", "none", &["no", "never", "removed", "stripped"]),
    ("file.location", "allowed", &["yes", "any"]),
    ("print.crop", "by the photographer", &["photographer", "photographer's"]),
    ("print.crop", "by the designer", &["designer", "designer's"]),
    ("detail.sharpened", "by the photographer", &["photographer"]),
    ("detail.sharpened", "by the printer", &["printer", "by the lab", "lab"]),
    ("versions", "newest", &["latest"]),
];

/// What levels there are.
const A_LEVEL: &str = "a level is \"must\", \"should\", \"note\" or \"off\"";
/// Words that are near a value and do not mean it: path, words, why, and the word to write.
const INSTEAD: &[(&str, &[&str], &str, &str)] = &[
    ("colour.space", &["dci p3"], "DCI-P3 is for cinema; photographs are exported in Display P3", "display p3"),
    ("rules.*", &["fix", "error", "required"], A_LEVEL, "must"),
    ("rules.*", &["warn", "warning"], A_LEVEL, "should"),
    ("rules.*", &["info", "hint"], A_LEVEL, "note"),
    ("rules.*", &["ignore", "skip", "none", "disabled"], A_LEVEL, "off"),
];

/// What to do where a printing condition is named in place of a colour space.
const CONDITION: (&str, &str) = (
    "it is a printing condition, which a profile describes, not a colour space",
    "space = \"paper\", with the printer's file as profile = \"FILE.icc\" below [paper]; or space = \"cmyk\" for \
     any CMYK",
);
/// The same in place of a paper.
const COATED: (&str, &str) = (
    "it is a printing condition on coated paper",
    "stock = \"coated\", with the printer's file as profile = \"FILE.icc\"",
);
/// See [`COATED`].
const UNCOATED: (&str, &str) = (
    "it is a printing condition on uncoated paper",
    "stock = \"uncoated\", with the printer's file as profile = \"FILE.icc\"",
);
/// Where a word does not say how a surface shines.
const TEXTURE: (&str, &str) =
    ("it says how a surface feels, not how it shines", "surface = \"gloss\", \"lustre\" or \"matte\"");
/// A word for two things.
const METALLIC: (&str, &str) = (
    "metallic can mean a pearl photo paper or aluminium",
    "stock = \"photo paper\" for the paper, stock = \"metal\" for a panel",
);

/// Words that mean no one value: path, words, why, and what to do.
const ANSWERS: &[(&str, &[&str], (&str, &str))] = &[
    ("paper.stock", &["metallic", "metallic paper", "metallic photo paper"], METALLIC),
    ("paper.surface", &["metallic", "metallic paper", "metallic photo paper"], METALLIC),
    (
        "paper.stock",
        &["art paper"],
        (
            "art paper means coated paper at a press and fine-art paper at a studio",
            "stock = \"coated\" or stock = \"cotton\"",
        ),
    ),
    (
        "paper.stock",
        &["woodfree", "card", "cardboard", "card stock", "board"],
        ("it does not say whether it is coated", "stock = \"coated\" or stock = \"uncoated\""),
    ),
    ("paper.stock", &["fogra39*", "fogra51*", "iso coated*", "pso coated*", "coated fogra39", "gracol*"], COATED),
    (
        "paper.stock",
        &["fogra29*", "fogra47*", "fogra52*", "iso uncoated*", "pso uncoated*", "uncoated fogra29"],
        UNCOATED,
    ),
    ("paper.surface", &["smooth", "textured", "rough", "velvet", "linen"], TEXTURE),
    (
        "paper.process",
        &["digital", "digital print"],
        ("digital can mean toner or inkjet", "process = \"toner\" for toner, process = \"inkjet\" for inkjet"),
    ),
    (
        "margins.edge",
        &["full bleed"],
        (
            "full bleed means borderless at a lab and trimmed with bleed at a press",
            "edge = \"borderless\" for a lab print, edge = \"bleed\" where the trim cuts through the picture",
        ),
    ),
    (
        "margins.edge",
        &["trim", "trimmed", "cut", "none"],
        (
            "it does not say whether the picture extends beyond the cut",
            "edge = \"bleed\" where it does, edge = \"borderless\" where a lab enlarges it slightly to cover the sheet",
        ),
    ),
    (
        "colour.space",
        &["rgb"],
        ("RGB alone does not say which RGB", "ask the printer; where nothing is said, most take space = \"srgb\""),
    ),
    (
        "colour.space",
        &["eci rgb"],
        ("eciRGB has two versions, and plateside knows only v2", "space = \"eci rgb v2\", if that is the one"),
    ),
    (
        "colour.space",
        &[
            "fogra*",
            "iso coated*",
            "iso uncoated*",
            "pso*",
            "gracol*",
            "swop*",
            "us web coated*",
            "coated fogra*",
            "uncoated fogra*",
            "japan color*",
        ],
        CONDITION,
    ),
    (
        "colour.space",
        &["lab", "cielab"],
        ("plateside does not measure Lab pictures", "write an RGB space, such as \"srgb\""),
    ),
    (
        "file.formats",
        &["psd", "pdf", "heic", "heif", "raw", "dng", "webp", "avif", "gif", "bmp", "eps", "jpeg 2000", "jp2"],
        ("plateside does not measure pictures of that format", "write jpeg, tiff or png"),
    ),
];

/// Other names of keys: path, names.
const KEYS: &[(&str, &[&str])] = &[
    ("print.copies", &["qty", "quantity", "count", "amount"]),
    ("print.name", &["title", "dish", "recipe", "print"]),
    ("print.page", &["pages", "plate", "folio", "pp"]),
    ("print.picture", &["file", "filename", "image", "photo", "photograph"]),
    ("print.pictures", &["files", "images", "photos"]),
    ("print.size", &["dimensions", "print size", "trim size"]),
    ("print.caption", &["captions", "legend"]),
    ("print.rotate", &["rotation"]),
    ("print.testprint", &["test", "proof"]),
    ("density.target", &["dpi", "ppi", "resolution"]),
    ("density.minimum", &["min", "min dpi", "min ppi", "minimum dpi", "minimum ppi", "min resolution"]),
    ("density.ruling", &["lpi", "screen", "line screen", "screen ruling"]),
    ("density.distance", &["viewing distance"]),
    ("paper.stock", &["material", "substrate", "media", "medium", "paper type"]),
    ("paper.surface", &["finish", "sheen", "coating"]),
    ("paper.process", &["method", "technique", "printing"]),
    ("paper.profile", &["icc", "icc profile", "output profile", "printer profile"]),
    ("paper.dmax", &["black", "black density", "max density"]),
    (
        "paper.ink_limit",
        &["tac", "tic", "total ink", "total area coverage", "ink coverage", "total ink coverage", "max ink"],
    ),
    ("file.formats", &["format", "file type", "file format"]),
    ("file.depth", &["bits", "bit depth"]),
    ("file.jpeg_quality", &["quality"]),
    ("file.largest", &["file size", "max size", "max bytes", "max file size"]),
    ("file.name", &["naming", "file names"]),
    ("file.credit", &["metadata", "iptc", "credits"]),
    ("file.location", &["gps", "geotag", "coordinates"]),
    ("colour.space", &["colour space", "color space", "working space"]),
    ("margins.safe", &["safe area", "safe zone", "safe margin", "safety", "safety margin", "quiet zone"]),
    ("margins.border", &["white border", "border width"]),
    ("margins.wrap", &["wrap depth", "bar", "bar depth"]),
    ("margins.rebate", &["lip"]),
    ("margins.folds", &["fold", "crease", "creases", "score"]),
    ("margins.cut_tolerance", &["tolerance", "trim tolerance", "cutting tolerance"]),
    ("tone.lost_highlights", &["highlights", "clipping"]),
    ("tone.lost_shadows", &["shadows"]),
    ("detail.halo", &["halos"]),
    ("detail.enlarged", &["enlargement", "upscaling", "upscale", "interpolation"]),
    ("detail.sharpened", &["sharpening"]),
    ("due", &["deadline", "due date", "date"]),
    ("printer", &["lab"]),
    ("from", &["photographer", "sender"]),
    ("colour_correction", &["color correction", "correction"]),
    ("ignore", &["exclude"]),
];

/// Other names of tables: the table's own, names.
const TABLES: &[(&str, &[&str])] = &[
    (
        "print",
        &["prints", "picture", "pictures", "image", "images", "photo", "photos", "page", "pages", "plate", "plates"],
    ),
    ("colour", &["color", "colors", "colours"]),
    ("density", &["resolution", "dpi", "ppi"]),
    ("margins", &["layout", "trim"]),
    ("file", &["files", "format", "export"]),
    ("detail", &["sharpening"]),
    ("rules", &["levels"]),
];

/// Words that may follow another without changing what it means.
const TRAILING: &[&str] = &["paper", "papers", "finish", "surface", "stock", "print", "prints", "printing"];

/// Returns a word without case, blanks, hyphens and other signs: `Semi-Gloss` is `semi gloss` is `semigloss`.
pub(super) fn normalise(word: &str) -> String {
    word.chars().filter(|c| c.is_alphanumeric() || *c == '#').flat_map(char::to_lowercase).collect()
}

fn is_one_of(word: &str, names: &[&str]) -> bool {
    names.iter().any(|name| match name.strip_suffix('*') {
        Some(beginning) => word.starts_with(&normalise(beginning)),
        None => word == normalise(name),
    })
}

/// Returns the brief's own word for a value of a choice, if the text is that word or one that means the same.
pub fn value(key: &BriefKey, text: &str) -> Option<&'static str> {
    let (ValueKind::Choice(words) | ValueKind::Choices(words)) = key.kind else { return None };
    let of = |word: &str| {
        let own = words.iter().find(|own| normalise(own) == word).copied();
        own.or_else(|| {
            let same = SAME.iter().find(|(path, _, names)| *path == key.path && is_one_of(word, names));
            same.map(|(_, value, _)| *value)
        })
    };
    of(&normalise(text)).or_else(|| {
        let (before, last) = text.trim().rsplit_once([' ', '-'])?;
        of(&normalise(before)).filter(|_| TRAILING.contains(&last.to_lowercase().as_str()))
    })
}

/// Returns what a text says for a value of a key, where that is no word of the brief; nothing where it is not known
/// here.
pub(super) fn meaning(key: &BriefKey, text: &str) -> Option<TradeMeaning> {
    if !matches!(key.kind, ValueKind::Choice(_) | ValueKind::Choices(_)) {
        return None;
    }
    if let Some(now) = renamed::value(key.path, text) {
        let what = format!("\"{text}\" is now called {now}");
        return Some(TradeMeaning::Answer(what, format!("{} = \"{now}\"", key.name())));
    }
    let word = normalise(text);
    if let Some((_, _, (why, fix))) =
        ANSWERS.iter().find(|(path, names, _)| *path == key.path && is_one_of(&word, names))
    {
        return Some(TradeMeaning::Answer(format!("\"{text}\": {why}"), (*fix).to_owned()));
    }
    if let Some((_, _, why, instead)) =
        INSTEAD.iter().find(|(path, names, _, _)| *path == key.path && is_one_of(&word, names))
    {
        return Some(TradeMeaning::Instead(why, instead));
    }
    value(key, text).map(TradeMeaning::Same).or_else(|| of_paper(key, text))
}

/// Returns a word of `[paper]` that belongs to another of its keys, or says two of them at once: "glossy", "matte
/// canvas".
fn of_paper(key: &BriefKey, text: &str) -> Option<TradeMeaning> {
    let [stock, surface, process] = ["paper.stock", "paper.surface", "paper.process"].map(key_table::find);
    let (stock, surface, process) = (stock?, surface?, process?);
    if key.table() != stock.table() {
        return None;
    }
    for other in [stock, surface, process].into_iter().filter(|other| other.path != key.path) {
        if let Some(value) = value(other, text) {
            let what = format!("\"{text}\" is a {}, not a {}", other.name(), key.name());
            return Some(TradeMeaning::Answer(what, format!("write {} = \"{value}\"", other.name())));
        }
    }
    let both = text.match_indices([' ', '-']).find_map(|(at, _)| {
        let (before, behind) = (&text[..at], &text[at + 1..]);
        let as_is = value(surface, before).zip(value(stock, behind));
        as_is.or_else(|| value(surface, behind).zip(value(stock, before)))
    });
    let (shines, made_of) = both?;
    let what = format!("\"{text}\" names a stock and its surface at once");
    Some(TradeMeaning::Answer(what, format!("stock = \"{made_of}\" on one line, surface = \"{shines}\" on the next")))
}

/// Returns the key that another name means: of the same table where there is one, else of any.
pub fn key(table: &str, name: &str) -> Option<&'static BriefKey> {
    let word = normalise(name);
    // What `[colour]` calls a profile is a space, and the paper's profile is another thing.
    if (table, word.as_str()) == ("colour", "profile") {
        return key_table::find("colour.space");
    }
    let named =
        || KEYS.iter().filter(|(_, names)| is_one_of(&word, names)).filter_map(|(path, _)| key_table::find(path));
    named().find(|key| key.table() == table).or_else(|| named().next())
}

/// Returns the table that another name means.
pub(super) fn table(name: &str) -> Option<&'static str> {
    let word = normalise(name);
    TABLES.iter().find(|(_, names)| is_one_of(&word, names)).map(|(table, _)| *table)
}

/// Returns the keys that have a text among their values, by whatever word.
pub fn keys_with_value(text: &str) -> impl Iterator<Item = &'static BriefKey> {
    key_table::all().filter(move |key| value(key, text).is_some())
}
