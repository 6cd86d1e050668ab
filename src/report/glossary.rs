//! Words of the screen and of the trade that are neither rules nor keys, in a sentence each. Source: from memory, where
//! the rule or key that an entry leads to names none.

/// The definition of a word.
pub struct GlossaryEntry {
    /// The word and its synonyms.
    pub words: &'static [&'static str],
    /// The definition.
    pub about: &'static str,
    /// Paths of related rules and keys.
    pub see: &'static [&'static str],
}

const fn entry(words: &'static [&'static str], about: &'static str, see: &'static [&'static str]) -> GlossaryEntry {
    GlossaryEntry { words, about, see }
}

/// Every entry: states, levels, then words of the trade.
pub static ENTRIES: &[GlossaryEntry] = &[
    entry(&["FIX"], "a state: something that must hold does not, so the picture must not go out like this", &[]),
    entry(&["WARN"], "a state: something that should hold does not; look at it, and accept it if it is meant so", &[]),
    entry(&["PASS"], "a state: whatever must or should hold, and could be checked, does", &[]),
    entry(&["MISSING"], "a state: a print that has no picture yet", &["set.missing"]),
    entry(&["EXTRA"], "a state: a picture that no print asks for", &["set.extra"]),
    entry(&["ARRIVING"], "a state: the file is still being written", &[]),
    entry(&["CHECKING"], "a state: the picture is being read, or waits for it; there is no verdict yet", &[]),
    entry(&["must"], "a level: where such a rule does not hold the row is FIX", &["rules.*"]),
    entry(&["should"], "a level: where such a rule does not hold the row is WARN", &["rules.*"]),
    entry(&["note"], "a level: such a rule is shown and changes no state", &["rules.*"]),
    entry(&["off"], "a level: such a rule is not asked", &["rules.*"]),
    entry(
        &["ppi", "pixels per inch", "resolution", "effective ppi"],
        "pixels per inch: how many of the picture's pixels lie on an inch of the finished print; the tag in the file \
         is only a wish",
        &["density.target", "density.minimum", "density.tag"],
    ),
    entry(
        &["dpi", "dots per inch"],
        "dots per inch, the raster of a machine; often said where pixels per inch are meant, and read so in a brief",
        &["density.target", "density.minimum"],
    ),
    entry(&["lpi", "halftone", "line screen"], "lines per inch of a halftone screen", &["density.ruling"]),
    entry(
        &["bleed"],
        "picture that goes on beyond the finished size and is cut off, so that no white shows where the cut is off",
        &["margins.bleed"],
    ),
    entry(&["trim", "finished size"], "the size after cutting, and the cut itself", &["print.size", "margins.trim"]),
    entry(
        &["Dmax", "black point"],
        "how dark the deepest black on a paper is, as a density: 1.3 on uncoated paper, above 2 on glossy photo paper",
        &["paper.dmax"],
    ),
    entry(
        &["TAC", "TIC", "total ink", "total area coverage"],
        "cyan, magenta, yellow and black added up at one place; more than the paper takes sets off and smears",
        &["paper.ink_limit", "colour.ink"],
    ),
    entry(
        &["profile", "ICC", "ICC profile"],
        "a file that says which colours the numbers of a picture or the inks of a machine make",
        &["paper.profile", "colour.profile"],
    ),
    entry(&["gamut", "out of gamut"], "all colours that a space or a paper can hold", &["colour.gamut"]),
    entry(
        &["soft proof"],
        "the picture on the screen as the paper would show it; it warns, and a hard proof decides",
        &["paper.profile"],
    ),
    entry(
        &["hard proof", "proof", "contract proof"],
        "a print that both sides go by; it has the last word",
        &["print.testprint"],
    ),
    entry(&["rebate", "lip"], "the strip of the print that a frame covers", &["margins.rebate"]),
    entry(
        &["FOGRA39", "FOGRA51"],
        "characterisation data of offset on coated paper, which a printer's profile is made from; FOGRA51 followed \
         FOGRA39, and its figures are not among ours",
        &["paper.profile", "paper.dmax"],
    ),
    entry(
        &["FOGRA29", "FOGRA52"],
        "characterisation data of offset on uncoated paper, which a printer's profile is made from; FOGRA52 is of \
         today's paper, and its figures are not among ours",
        &["paper.profile", "paper.dmax"],
    ),
];

/// Finds the entry of a word.
pub fn find(word: &str) -> Option<&'static GlossaryEntry> {
    ENTRIES.iter().find(|entry| entry.words.iter().any(|one| one.eq_ignore_ascii_case(word)))
}
