//! Pages for those who write scripts: the exit status and the JSON of `check`.

use super::topic::Topic;

/// The exit status of a command.
pub static STATUS: Topic = Topic {
    names: &["status", "exit status", "exit code", "exit"],
    about: "How check, watch --lines, deliver, verify and the live table end. Findings about the brief and about \
            the order as a whole count like findings about a picture. A picture without a result counts as something \
            to fix. The live table ends like a check of what it showed when you quit.",
    summary: Some("how a command ends, for scripts"),
    entries: &[
        (
            "0",
            "Nothing to fix. Warnings are allowed unless you say --strict, missing pictures unless you say \
             --complete; deliver never sends part of an order unless you name the part.",
        ),
        ("1", "Something to fix."),
        (
            "2",
            "It could not be done: a mistake on the command line, in the brief or with the folder; or a decision \
               that the live table could not write.",
        ),
        ("130", "Stopped with Ctrl-C. Any signal ends a command with 128 and the signal's number."),
        ("141", "watch --lines only: the program that read the lines has gone."),
    ],
    see: &["states"],
};

/// The parts of the JSON of a check.
pub static JSON: Topic = Topic {
    names: &["json"],
    about: "plateside check --format json writes one object. Within one version of the format no key changes its \
            meaning; new keys may be added. What is not known is null. Shares run from 0 to 1; sides are left, top, \
            right, bottom; ppi are pixels per inch.",
    summary: Some("what check --format json writes, for scripts"),
    entries: &[
        ("plateside", "The version of this format."),
        ("version", "The version of the program."),
        ("made", "When the check was made."),
        ("folder", "The folder, as you gave it."),
        (
            "brief",
            "The brief: path, sha256, title, printer, contact, from, like, sheets (the printer's sheets); in findings, \
             the findings about the brief itself.",
        ),
        (
            "brief: values",
            "What holds for the order as a whole: key, value, from (usual or required, and by which file and line), \
             answered (the day).",
        ),
        ("order_findings", "Findings about the order as a whole; pictures lists every picture that one is about."),
        (
            "to_do",
            "What to do about the order by cause, musts first, then what fixes the most pictures: level, pictures \
             (their number), causes (rule, cause, pictures), preset (true if one export preset fixes all), fix.",
        ),
        (
            "rows",
            "One for each picture of each print, one for each print without a picture, one for each extra picture.",
        ),
        (
            "totals",
            "How many rows are pass, warn, fix, missing, extra and pending, and how many findings are accepted.",
        ),
        ("rows: picture", "The file's name."),
        (
            "rows: print, print_id, version",
            "The print's name, its lasting id, and the version of the order where there are several.",
        ),
        ("rows: group", "The group that the print is a part of, if it is one."),
        (
            "rows: state, remark",
            "The state, and a word about it where there is one: what is missing, or which prints one file is for.",
        ),
        ("rows: export", "What to export for a print without a picture; plateside spec lists it in full."),
        ("rows: sha256", "The checksum of the bytes that were checked."),
        (
            "rows: geometry",
            "The print: size_mm, bleed_mm, needed_px, rotated, copies, page, last_page (of a spread), crop_lost_sides \
             (shares), crop_box (the crop as shares of the picture).",
        ),
        (
            "rows: facts",
            "The file: format, compression, width_px, height_px, model, bits, alpha, layers, pages, orientation, \
             tag_ppi, bytes, profile (description, class, space, known_as, sha256, fault), claim (known_as, by), \
             exif_colour_space, jpeg (quality, subsampling, progressive), creator, copyright, caption, location, \
             taken.",
        ),
        (
            "rows: measures",
            "The picture on this paper: effective_ppi; shares crop_lost, highlights_lost, specular, shadows_lost, \
             near_black, halo, out_of_space, out_of_paper, ink_max, importance_in_trim, importance_in_safe; median_l \
             (L*); halo_mm and edge_mm at the printed size; enlarged (times); noise (levels of 255); delta_e_mean, \
             delta_e_95, delta_e_largest, and paper_delta_e_mean, paper_delta_e_95, paper_delta_e_largest (CIEDE2000).",
        ),
        ("rows: findings", "Open and accepted findings."),
        ("rows: within_tolerance", "Differences within the tolerance of a rule: rule, found."),
        ("rows: passed", "Rules that found nothing."),
        ("rows: not_checked", "Rules that could not be checked: rule, reason."),
        ("rows: subject", "The subject: box (shares) and from, who drew it."),
        ("rows: test_print", "The test print: state, good, saw, by, when."),
        ("findings: rule, about", "The rule; which of its findings, where it has several."),
        ("findings: level", "How much it counts."),
        (
            "findings: pictures",
            "The pictures that its words name. Where many pictures share a cause these are the first 4, since each of \
             the others has a row with the finding.",
        ),
        ("findings: measured", "The measured number."),
        ("findings: required", "Its limit, whether required or usual."),
        ("findings: unit", "The unit of both."),
        ("findings: found", "What was found, and the limit."),
        ("findings: fix", "How to fix it, one action an entry."),
        ("findings: why", "Why it matters on paper."),
        ("findings: origins", "Where the values come from that its rule compares with: key, from."),
        (
            "findings: accepted",
            "by, allowed_by, reason, when, and the numbers it was accepted at (value, limit); reopened says why it is \
             open again, and is null while it is accepted.",
        ),
    ],
    see: &["status", "outcomes"],
};
