//! Words of the trade in a brief and in a picture list: each is taken for what it means or answered rightly.

use super::super::*;
use super::parsed;
use crate::brief::requirements::Level;

/// Values that are taken: table, key, the word, and what is understood.
const TAKEN: &[(&str, &str, &str, &str)] = &[
    ("paper", "stock", "cotton rag", "cotton"),
    ("paper", "stock", "Cotton-Rag", "cotton"),
    ("paper", "stock", "fine art paper", "cotton"),
    ("paper", "stock", "baryta", "photo paper"),
    ("paper", "stock", "RC paper", "photo paper"),
    ("paper", "stock", "resin coated", "photo paper"),
    ("paper", "stock", "aluminum", "metal"),
    ("paper", "stock", "canvas print", "canvas"),
    ("paper", "stock", "coated paper", "coated"),
    ("paper", "stock", "newspaper", "newsprint"),
    ("paper", "surface", "glossy", "gloss"),
    ("paper", "surface", "semi-gloss", "lustre"),
    ("paper", "surface", "semigloss", "lustre"),
    ("paper", "surface", "Luster", "lustre"),
    ("paper", "surface", "pearl", "lustre"),
    ("paper", "surface", "satin finish", "lustre"),
    ("paper", "surface", "silk", "lustre"),
    ("paper", "surface", "matt", "matte"),
    ("paper", "process", "giclée", "inkjet"),
    ("paper", "process", "ink jet", "inkjet"),
    ("paper", "process", "C-type", "silver halide"),
    ("paper", "process", "dye-sub", "dye sublimation"),
    ("paper", "process", "litho", "offset"),
    ("paper", "process", "toner", "toner"),
    ("margins", "edge", "Borderless", "borderless"),
    ("margins", "edge", "no border", "borderless"),
    ("margins", "edge", "white border", "border"),
    ("margins", "edge", "gallery wrap", "wrap"),
    ("colour", "space", "AdobeRGB", "adobe rgb"),
    ("colour", "space", "Adobe RGB (1998)", "adobe rgb"),
    ("colour", "space", "sRGB IEC61966-2.1", "srgb"),
    ("colour", "space", "ProPhoto", "prophoto rgb"),
    ("colour", "space", "grayscale", "grey"),
    ("colour", "space", "black and white", "grey"),
    ("file", "formats", "jpg", "jpeg"),
    ("file", "formats", "TIF", "tiff"),
    ("file", "credit", "author", "creator"),
    ("detail", "sharpened", "by the lab", "by the printer"),
];

/// The answer to a printing condition in place of a space.
const CONDITION: &str = "space = \"paper\", with the printer's file as profile = \"FILE.icc\" below [paper]; \
                         or space = \"cmyk\" for any CMYK";

/// Lines that are answered: the brief's lines, and the whole answer.
const ANSWERED: &[(&str, &str)] = &[
    ("[paper]\nstock = \"glossy photo\"", "stock = \"photo paper\" on one line, surface = \"gloss\" on the next"),
    ("[paper]\nstock = \"matte canvas\"", "stock = \"canvas\" on one line, surface = \"matte\" on the next"),
    ("[paper]\nstock = \"silk coated\"", "stock = \"coated\" on one line, surface = \"lustre\" on the next"),
    ("[paper]\nsurface = \"matte coated\"", "stock = \"coated\" on one line, surface = \"matte\" on the next"),
    ("[paper]\nstock = \"glossy\"", "write surface = \"gloss\""),
    ("[paper]\nstock = \"pearl\"", "write surface = \"lustre\""),
    ("[paper]\nstock = \"giclee\"", "write process = \"inkjet\""),
    ("[paper]\nsurface = \"uncoated\"", "write stock = \"uncoated\""),
    ("[paper]\nstock = \"metallic\"", "stock = \"photo paper\" for the paper, stock = \"metal\" for a panel"),
    ("[paper]\nstock = \"art paper\"", "stock = \"coated\" or stock = \"cotton\""),
    ("[paper]\nstock = \"woodfree\"", "stock = \"coated\" or stock = \"uncoated\""),
    (
        "[paper]\nstock = \"vinyl\"",
        "write one of photo paper, cotton, canvas, metal, acrylic, wood, coated, uncoated, newsprint",
    ),
    ("[paper]\nsurface = \"textured\"", "surface = \"gloss\", \"lustre\" or \"matte\""),
    ("[paper]\nprocess = \"digital\"", "process = \"toner\" for toner, process = \"inkjet\" for inkjet"),
    ("[paper]\nprocess = \"letterpress\"", "write one of these words"),
    ("[paper]\nTAC = \"300 %\"", "ink_limit = \"300 %\""),
    ("[paper]\nfinish = \"matte\"", "surface = \"matte\""),
    ("[margins]\nedge = \"enlarged\"", "edge = \"borderless\""),
    ("[margins]\nhidden = \"6 mm\"", "rebate = \"6 mm\""),
    ("[margins]\ndepth = \"38 mm\"", "wrap = \"38 mm\""),
    ("[paper]\nblack_d = 1.9", "dmax = 1.9"),
    ("[density]\nwanted = \"300 ppi\"", "target = \"300 ppi\""),
    ("[density]\nleast = \"240 ppi\"", "minimum = \"240 ppi\""),
    ("[detail]\nsharpened = \"by us\"", "sharpened = \"by the photographer\""),
    ("[rules]\n\"size.shape\" = \"note\"", "\"size.aspect\" = \"note\""),
    ("[handover]\ntransfer = \"upload\"", "[delivery]"),
    ("[[print]]\nsize = \"A5\"\nground = \"white\"", "background = \"white\""),
    ("[[print]]\nsize = \"A5\"\nturn = false", "rotate = false"),
    ("[[print]]\nsize = \"A5\"\ncrop = \"theirs\"", "crop = \"by the designer\""),
    (
        "[margins]\nedge = \"full bleed\"",
        "edge = \"borderless\" for a lab print, edge = \"bleed\" where the trim cuts through the picture",
    ),
    ("[margins]\nsafe_area = \"5 mm\"", "safe = \"5 mm\""),
    ("[colour]\nspace = \"FOGRA39\"", CONDITION),
    ("[colour]\nspace = \"ISO Coated v2\"", CONDITION),
    ("[colour]\nspace = \"rgb\"", "ask the printer; where nothing is said, most take space = \"srgb\""),
    ("[colour]\nprofile = \"srgb\"", "space = \"srgb\""),
    ("[paper]\nstock = \"FOGRA39\"", "stock = \"coated\", with the printer's file as profile = \"FILE.icc\""),
    ("[file]\nformats = \"pdf\"", "write jpeg, tiff or png"),
    ("[file]\nquality = 90", "jpeg_quality = 90"),
    ("[density]\ndpi = \"300 dpi\"", "target = \"300 dpi\""),
    ("[density]\nmin = \"200 ppi\"", "minimum = \"200 ppi\""),
    ("[density]\nlpi = \"150 lpi\"", "ruling = \"150 lpi\""),
    ("[resolution]\nwanted = \"300 ppi\"", "[density]"),
    ("[color]\nspace = \"srgb\"", "[colour]"),
    ("[[prints]]\nsize = \"A4\"", "[[print]]"),
    ("[prints]\nsize = \"A4\"", "[[print]]"),
    ("[[pictures]]\nsize = \"A4\"", "[[print]]"),
    ("due = 18.12.2026", "due = 2026-12-18"),
    ("due = 18 December 2026", "due = 2026-12-18"),
    ("due = \"18/12/2026\"", "due = 2026-12-18"),
    ("due = \"5/6/2026\"", "write 2026-06-05 or 2026-05-06, whichever you mean"),
    ("deadline = 2026-12-18", "due = 2026-12-18"),
    ("lab = \"Ashgill Print Room\"", "printer = \"Ashgill Print Room\""),
    ("resolution = \"300 ppi\"", "it is called target and belongs below [density]: target = \"300 ppi\""),
    ("[rules]\n\"size.aspect\" = \"warning\"", "\"size.aspect\" = \"should\""),
    ("[[print]]\nsize = \"A5\"\nqty = 2", "copies = 2"),
    ("[[print]]\nsize = \"A5\"\ndish = \"Plum tart\"", "name = \"Plum tart\""),
    ("[[print]]\nsize = \"A5\"\nfile = \"p012*\"", "picture = \"p012*\""),
    ("[[print]]\nsize = \"A5\"\nheight = \"260 mm\"", "write both together: size = \"210 x 260 mm\""),
    ("[[print]]\nsize = \"13x18\"", "size = \"13 x 18 cm\", or \"13 x 18 in\""),
    ("[[print]]\nsize = \"20 x 30\"", "size = \"20 x 30 in\", or \"20 x 30 cm\""),
    ("[[print]]\nsize = \"60 x 90\"", "size = \"60 x 90 cm\", or \"60 x 90 mm\""),
    ("[[print]]\nsize = \"8 1/2 x 11\"", "size = \"8 1/2 x 11 in\", or \"8 1/2 x 11 cm\""),
    ("[margins]\nsafe = \"5\"", "safe = \"5 mm\", or \"5 cm\", or \"5 in\""),
];

/// Headings of a picture list with page, name, picture and size that are no further column.
const PASSED_OVER: &[&str] =
    &["Height", "Width", "No.", "Number", "Dish", "Trim size", "Format", "Price", "Notes", "Side"];

#[test]
fn a_word_of_the_trade_is_taken_for_what_it_means() {
    for (table, key, word, meant) in TAKEN {
        let text = format!("[{table}]\n{key} = \"{word}\"\n[[print]]\nsize = \"A4\"\n");
        let brief = parsed(&text).unwrap_or_else(|problems| panic!("{word}: {problems:#?}"));
        let shown =
            key_table::find(&format!("{table}.{key}")).unwrap().of_requirements(&brief.prints[0].requirements).unwrap();
        assert_eq!(shown, *meant, "{key} = {word}");
    }
}

#[test]
fn a_word_that_cannot_be_taken_is_answered_rightly() {
    assert!(TAKEN.len() + ANSWERED.len() + PASSED_OVER.len() >= 60);
    for (lines, answer) in ANSWERED {
        let text = format!("{lines}\n[[print]]\nsize = \"A4\"\n");
        let problems = parsed(&text).expect_err(lines);
        let said: Vec<&str> = problems.iter().map(|problem| problem.fix.as_str()).collect();
        assert_eq!(said, [*answer], "{lines}");
    }
    let both = parsed("[[print]]\nsize = \"A4\"\n[[prints]]\nsize = \"A4\"\ncopies = 0\n").unwrap_err();
    assert_eq!((both.len(), both[0].line, both[1].line), (2, 3, 5));
}

#[test]
fn headings_of_a_picture_list_are_taken_or_answered() {
    let with = |head: &str, row: &str| {
        let list = format!("{head}\n{row}\n");
        parse("prints = \"a.csv\"\n", Path::new("a.toml"), Some((Path::new("a.csv"), list.as_bytes())), &[])
    };
    let read = with("Plate,Dish,Image,Dimensions,Qty", "12,Plum tart,p012*,A4 landscape,2").unwrap();
    let print = &read.prints[0];
    assert_eq!((print.page, print.name.as_str(), print.copies), (Some(Pages::one(12)), "Plum tart", 2));
    assert_eq!(print.size.show(), "297 x 210 mm");
    for heading in PASSED_OVER {
        let brief = with(&format!("page,name,picture,size,{heading}"), "12,tart,p012*,A4,x").unwrap();
        let said: Vec<(Level, &str)> =
            brief.findings.iter().map(|remark| (remark.level, remark.problem.what.as_str())).collect();
        assert_eq!(
            said,
            [(Level::Note, format!("columns of the picture list that are passed over: \"{heading}\"").as_str())]
        );
        assert_eq!((brief.prints[0].page, brief.prints[0].name.as_str()), (Some(Pages::one(12)), "tart"));
    }
    let read = with("No.,Image,Width (mm),Height (mm)", "12,p012*,210,260").unwrap();
    assert_eq!((read.prints[0].page, read.prints[0].size.show().as_str()), (Some(Pages::one(12)), "210 x 260 mm"));
    let problems = with("nmae,picture,size", "tart,p012*,A4").unwrap_err();
    assert_eq!((problems.len(), problems[0].fix.as_str()), (1, "name"));
    // A unit that nobody names is asked for once a side.
    let problems = with("picture,width,height", "p012*,210,260").unwrap_err();
    assert_eq!(problems.len(), 2);
}
