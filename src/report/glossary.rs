//! Words of the trade that are neither rules nor keys, in a sentence or two. Source: from memory, where the rule or key
//! that an entry leads to names none.

/// The definition of a word.
pub struct GlossaryEntry {
    /// The word and its synonyms.
    pub words: &'static [&'static str],
    /// The definition.
    pub about: &'static str,
    /// Related pages: ids of rules, paths of keys, names of pages.
    pub see: &'static [&'static str],
}

const fn entry(words: &'static [&'static str], about: &'static str, see: &'static [&'static str]) -> GlossaryEntry {
    GlossaryEntry { words, about, see }
}

/// Every entry: pixels, edges, colour, tone, detail, the file, the order.
pub static ENTRIES: &[GlossaryEntry] = &[
    entry(
        &["ppi", "pixels per inch", "resolution", "effective ppi"],
        "How many of the picture's pixels fall on one inch of the print. The resolution tag in the file changes \
         nothing: only the pixels and the printed size count.",
        &["density.target", "density.minimum", "density.tag"],
    ),
    entry(
        &["dpi", "dots per inch"],
        "The dots a machine prints on an inch. People often say dpi and mean pixels per inch; a brief takes either.",
        &["density.target", "density.minimum", "ppi"],
    ),
    entry(
        &["megapixels", "print sizes", "how large"],
        "How large a picture can be printed depends on its pixels. plateside sizes PICTURE lists the sizes; so does p \
         on the live table.",
        &["density.target", "density.minimum", "print.size"],
    ),
    entry(
        &["export spec", "spec", "what to export", "export preset", "preset"],
        "What to set in the export dialog for a print, before there is a file: pixels with bleed, crop, colour space, \
         format, quality, metadata and a file name. plateside spec BRIEF lists it for the whole order, with one preset \
         for all prints that share their settings. Every row of the live table has it too, and c copies it.",
        &["print.picture", "file.formats", "colour.space", "clipboard"],
    ),
    entry(
        &["clipboard", "copying"],
        "On the live table, c sends the export size to the terminal's clipboard, c again the file name, then all \
         settings; over SSH too. No terminal reports whether it took the text. If nothing arrives, allow it in the \
         settings of the terminal; in tmux: set -g set-clipboard on.",
        &["keys", "export spec"],
    ),
    entry(
        &["to do", "to-do", "to do by cause", "cause"],
        "The findings of the order by what puts them right: pictures with the same cause and the same fix are one \
         entry, and so is all that one export preset fixes. Musts come first, then what fixes the most pictures. t on \
         the live table shows it; check has it in text, HTML and JSON. Notes and accepted findings are left out.",
        &["levels", "json", "export spec"],
    ),
    entry(
        &["lpi", "halftone", "line screen", "screen ruling"],
        "Lines per inch of the halftone screen on a press. The usual target is two pixels for each line, up to 300 \
         ppi.",
        &["density.ruling", "density.target"],
    ),
    entry(
        &["viewing distance"],
        "How far away the print is looked at. From further off, fewer pixels per inch are enough.",
        &["density.distance", "density.target"],
    ),
    entry(
        &["upscaling", "enlargement", "enlarging", "interpolation", "resampling"],
        "Making more pixels than the camera recorded. It adds no real detail, so the print looks no sharper.",
        &["detail.enlarged", "density.minimum"],
    ),
    entry(
        &["printer's sheet", "sheets"],
        "What one printer has answered, in a file that the briefs of all orders with them name. It is a brief without \
         prints; plateside brief answer writes it.",
        &["sheet", "contact", "required or usual"],
    ),
    entry(
        &["starter", "starters"],
        "A brief to start from, for one usual kind of job. A brief that is like it takes its values as usual ones, \
         which no printer has said. plateside brief new lists the starters.",
        &["like", "required or usual"],
    ),
    entry(
        &["named paper", "named papers"],
        "A paper that the brief describes once, under a name, for the prints on it: [papers.body], and in the order or \
         in a print paper = \"body\".",
        &["print.paper", "paper.stock"],
    ),
    entry(
        &["several versions", "versions of an order"],
        "A form of the whole order, such as masters or press files: a table [[version]] in the brief, with a name and \
         a folder. Each version has every print once, from its folder. A subject's box belongs to the picture on which \
         it is drawn, an accepted finding to its file: decide for each version. A test print counts for the file of \
         which it was made.",
        &["version.name", "version.folder", "version.picture", "version.crop", "version.pixels", "version.age"],
    ),
    entry(
        &["aspect ratio", "proportions", "shape"],
        "Width against height, such as 3:2 or 4:5. Where the picture's differs from the print's, the print crops it.",
        &["size.aspect", "print.crop", "margins.fit"],
    ),
    entry(
        &["crop", "cropping"],
        "Cutting a picture to the aspect ratio of its print. The brief says who does it, the photographer or the \
         designer.",
        &["size.aspect", "print.crop", "subject"],
    ),
    entry(
        &["bleed"],
        "The part of the picture that goes beyond the finished size and is cut off. Without it, white shows where the \
         cut is slightly out.",
        &["margins.bleed", "margins.edge", "margins.includes_bleed"],
    ),
    entry(
        &["full bleed"],
        "To a press: the cut goes through the picture, so it needs bleed. To a photo lab: a borderless print. Ask \
         which is meant.",
        &["margins.edge", "margins.bleed"],
    ),
    entry(
        &["borderless", "edge to edge"],
        "A print without a white edge. The lab enlarges the picture a little over the sheet, so a narrow strip is \
         lost on every side.",
        &["margins.edge", "margins.trim", "margins.cut_tolerance"],
    ),
    entry(
        &["white border", "bordered"],
        "White paper left around the picture. Keep it out of the file: the slightest slip of the cut makes it uneven.",
        &["margins.border", "margins.fit", "margins.frame"],
    ),
    entry(
        &["trim", "finished size", "cut", "cutting"],
        "The size after cutting, and the cut itself. The cut can be slightly out, so keep what matters away from it.",
        &["print.size", "margins.trim", "margins.cut_tolerance"],
    ),
    entry(
        &["crop marks", "trim marks", "registration marks"],
        "Crop marks are lines outside the finished size that show where to cut; registration marks align the inks. \
         Both belong to the page: do not add them to a picture.",
        &["print.size", "margins.bleed"],
    ),
    entry(
        &["safe", "safe margin", "safe area", "safe zone"],
        "The strip inside the cut that nothing important may enter.",
        &["margins.safe", "subject"],
    ),
    entry(
        &["gutter", "spine", "binding"],
        "The inner side of a page, part of which disappears into the binding.",
        &["margins.gutter", "margins.folds", "margins.fold"],
    ),
    entry(
        &["fold", "crease", "spread"],
        "A line where the sheet is folded, or where two pages of a spread meet. Keep faces and other subjects off it.",
        &["margins.fold", "margins.folds", "margins.gutter", "set.seam"],
    ),
    entry(
        &["triptych", "diptych", "panel", "panels"],
        "One picture in several prints side by side. Each print names the group; where the parts meet is checked.",
        &["print.group", "print.gap", "set.seam"],
    ),
    entry(
        &["rebate", "lip"],
        "The step inside a frame that holds the print and covers a strip of its edge.",
        &["margins.rebate"],
    ),
    entry(
        &["gallery wrap", "canvas wrap", "wraparound"],
        "Canvas carried round the sides of a stretcher bar, with the picture on the sides, its edge mirrored, or one \
         colour.",
        &["margins.wrap", "margins.sides", "margins.edge"],
    ),
    entry(
        &["subject", "subject's box", "box"],
        "The part of a picture that cutting and cropping must not touch. Press b on the live table to draw its box, \
         or type plateside subject BRIEF PICTURE --box.",
        &["margins.trim", "margins.safe", "margins.fold", "keys of the box"],
    ),
    entry(
        &["profile", "ICC", "ICC profile", "paper profile", "printer profile"],
        "A file that says which colours a picture's numbers stand for, or which colours a printer makes on a paper.",
        &["colour.profile", "paper.profile"],
    ),
    entry(
        &["RGB"],
        "Red, green and blue. RGB alone does not say which colours are meant: the profile does, and sRGB is the usual \
         one.",
        &["colour.model", "colour.space", "colour.profile"],
    ),
    entry(
        &["sRGB"],
        "The colour space of ordinary screens and of most photo labs. A file without a profile is usually \
         read as sRGB.",
        &["colour.space", "colour.profile", "colour.misread"],
    ),
    entry(
        &["wide gamut", "Adobe RGB", "Display P3", "ProPhoto RGB"],
        "Colour spaces that hold more than sRGB. Where a lab reads such a file as sRGB, its colours come out muted.",
        &["colour.space", "colour.profile", "colour.misread"],
    ),
    entry(
        &["CMYK"],
        "Cyan, magenta, yellow and black, the inks of a press. Convert to it only when the printer asks for it and \
         names the profile.",
        &["colour.model", "colour.space", "colour.ink", "paper.profile"],
    ),
    entry(
        &["greyscale", "grayscale", "black and white", "monochrome"],
        "One channel from black to white. Ask whether the printer takes it, or wants a neutral picture as RGB.",
        &["colour.model", "colour.space"],
    ),
    entry(
        &["gamut", "out of gamut"],
        "All the colours that a colour space or a paper can hold. What lies outside it prints as a colour inside; \
         the rendering intent says which.",
        &["colour.gamut", "lost colours"],
    ),
    entry(
        &["rendering intent", "perceptual", "relative colorimetric"],
        "How colours outside the paper's gamut are brought inside. Relative colorimetric keeps those that fit; \
         perceptual moves all of them a little.",
        &["colour.gamut", "paper.profile", "on paper"],
    ),
    entry(
        &["black point compensation"],
        "Fits the darkest tone of the picture to the darkest of the paper, so that detail in the shadows is not cut \
         off.",
        &["paper.dmax", "tone.shadows", "on paper"],
    ),
    entry(
        &["soft proof", "soft proofing"],
        "The picture on the screen as the paper would show it. It warns; a hard proof decides.",
        &["paper.profile", "on paper", "calibration"],
    ),
    entry(
        &["hard proof", "proof", "contract proof"],
        "A print that you and the printer both go by. With the printer's own specification it has the last word.",
        &["print.testprint", "proof.testprint", "test print"],
    ),
    entry(
        &["calibration", "calibrated", "monitor"],
        "Setting a screen to a known white and brightness. plateside calibrated today notes the day, and the views on \
         paper say how long ago it was.",
        &["views", "tone.dark"],
    ),
    entry(
        &["delta E", "CIEDE2000"],
        "How far apart two colours look. Above 2 a change is clearly seen.",
        &["colour.gamut", "colour.misread"],
    ),
    entry(
        &["colour cast", "white balance", "consistency"],
        "A tint over the whole picture. plateside compares the pictures of one set-up; it cannot tell a cast from a \
         mood in a single picture.",
        &["set.outlier"],
    ),
    entry(
        &["TAC", "TIC", "total ink", "total area coverage"],
        "Cyan, magenta, yellow and black added up at one place. More than the paper takes dries slowly and smears.",
        &["colour.ink", "paper.ink_limit"],
    ),
    entry(
        &["dot gain"],
        "Ink spreads on paper, so tones print darker. The printer's profile allows for it.",
        &["paper.profile", "tone.dark"],
    ),
    entry(
        &["Dmax", "black point", "black density"],
        "How dark the deepest black on a paper is, as a density: 1.3 on uncoated paper, above 2 on glossy photo paper.",
        &["paper.dmax", "tone.paper", "tone.shadows"],
    ),
    entry(
        &["FOGRA39", "FOGRA51"],
        "Published measurements of offset on coated paper, which a printer's profile is made from. FOGRA51 followed \
         FOGRA39; plateside does not have the FOGRA51 figures.",
        &["paper.profile", "paper.dmax"],
    ),
    entry(
        &["FOGRA29", "FOGRA52"],
        "Published measurements of offset on uncoated paper, which a printer's profile is made from. FOGRA52 \
         measures today's paper; plateside does not have the FOGRA52 figures.",
        &["paper.profile", "paper.dmax"],
    ),
    entry(
        &["highlights", "blown highlights", "clipping", "blown white"],
        "White without detail: the paper stays bare there. Sparkle and lights may be white.",
        &["tone.highlights", "tone.lost_highlights", "lost tones"],
    ),
    entry(
        &["shadows", "blocked shadows", "shadows block up", "block up", "blocked up"],
        "Dark tones that print as one black. Paper holds fewer dark tones than a screen.",
        &["tone.shadows", "tone.lost_shadows", "paper.dmax", "lost tones"],
    ),
    entry(
        &["too dark", "exposure", "brightness"],
        "A screen that is too bright makes you export too dark, and the print shows it.",
        &["tone.dark", "calibration"],
    ),
    entry(
        &["focus", "sharpness", "blur", "soft"],
        "How sharp the picture is at the printed size. A large print shows what a small one hides.",
        &["detail.focus", "detail.sharpened"],
    ),
    entry(
        &["sharpening", "output sharpening"],
        "Raising the contrast along edges. Too much leaves halos; agree with the printer who sharpens for the print.",
        &["detail.sharpened", "detail.halo"],
    ),
    entry(
        &["halo", "halos"],
        "A light or dark line along an edge, left by too much sharpening.",
        &["detail.halo", "sharpening"],
    ),
    entry(&["noise", "grain"], "Fine speckle in even areas, most of it from high sensitivity.", &["detail.noise"]),
    entry(
        &["JPEG artefacts", "artifacts", "compression", "blocks"],
        "Block edges and specks that strong JPEG compression leaves. Saving again at a higher quality does not undo \
         it.",
        &["file.jpeg_quality", "detail.blocks"],
    ),
    entry(
        &["moiré", "moire", "banding", "posterisation", "dust"],
        "plateside does not look for these. Look at the picture at full size, and at a test print.",
        &["print.testprint", "test print"],
    ),
    entry(
        &["test print"],
        "A cheap print of the riskiest pictures before the expensive one. plateside testprint BRIEF FOLDER says which.",
        &["print.testprint", "proof.testprint"],
    ),
    entry(
        &["PDF", "PSD", "HEIC", "raw"],
        "plateside measures JPEG, TIFF and PNG. Export one of these for the print.",
        &["file.formats", "file.format"],
    ),
    entry(
        &["bit depth", "bits", "16 bit", "8 bit"],
        "How finely each channel is stored. 8 bits hold 256 levels a channel, enough for a finished picture.",
        &["file.depth"],
    ),
    entry(
        &["layers", "alpha", "transparency", "flatten"],
        "A file for print is one flat picture. Layers and transparency may come out differently at the printer's.",
        &["file.layers"],
    ),
    entry(
        &["metadata", "IPTC", "EXIF", "XMP"],
        "Text inside the file: who took it, who holds the rights, what it shows, and sometimes where it was taken.",
        &["file.credit", "file.location"],
    ),
    entry(
        &["duplicate", "copy", "version"],
        "The same picture twice in the folder, or two pictures for one print. Decide which one goes out.",
        &["set.duplicate", "set.versions", "versions"],
    ),
    entry(
        &["contact sheet", "contact sheets"],
        "Thumbnails of the whole order on a few pages, for the client or the designer to look through and tick. \
         plateside contact BRIEF FOLDER --into FILE.html writes one: in page order, with facing pages side by side, \
         boxes for yes, change and no, and room for remarks. It opens in a browser and prints on A4 or Letter.",
        &["print.page", "print.name", "MISSING"],
    ),
    entry(
        &["checksum", "SHA-256", "SHA256SUMS"],
        "A number that changes with any change of the file. plateside verify DIR checks a delivery by it.",
        &["delivery.transfer"],
    ),
    entry(
        &["delivery log", "sent"],
        "Every delivery is remembered beside the brief: when, to whom, how, and what the printer has by now. \
         plateside deliver BRIEF --list shows them, and --since last sends only what changed since.",
        &["decisions", "delivery.transfer"],
    ),
    entry(
        &["decisions"],
        "NAME.decisions.toml beside the brief keeps what you decided: boxes of subjects, accepted findings, what you \
         saw on test prints, and what was sent to the printer.",
        &["accepted", "subject", "test print"],
    ),
];

/// Finds the entry of a word.
pub fn find(word: &str) -> Option<&'static GlossaryEntry> {
    ENTRIES.iter().find(|entry| entry.words.iter().any(|one| one.eq_ignore_ascii_case(word)))
}
