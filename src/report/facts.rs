//! Facts from a picture's file, as lines for reading.

use crate::picture::facts::{ColourModel, EmbeddedProfile, JpegFacts, MetadataText};
use crate::picture::{Facts, Fault};
use crate::units::styled::{Line, Style};
use crate::units::{Ppi, show};

/// Width of a label, in columns.
const LABEL: usize = 14;

/// Formats a picture's facts under its name.
pub fn lines(name: &str, facts: &Facts) -> Vec<Line> {
    let mut lines = vec![Line::of(Style::Head, name)];
    let mut say = |label: &str, text: String| lines.push(labelled(label, text));
    say("file", file(facts));
    say("size", size(facts));
    say("colour", format!("{}, {} bits a channel{}", facts.model.name(), facts.bits, channels(facts)));
    say("profile", profile(facts));
    if let Some(tag) = facts.resolution_tag {
        say("density tag", format!("{} in the file; only the printed size counts", tag_words(tag.x_ppi, tag.y_ppi)));
    }
    if let Some(jpeg) = &facts.jpeg {
        say("JPEG", jpeg_words(jpeg));
    }
    let credits = &facts.credits;
    for (label, field) in [
        ("creator", &credits.creator),
        ("copyright", &credits.copyright),
        ("credit line", &credits.credit_line),
        ("caption", &credits.caption),
    ] {
        if let Some(text) = field_words(field) {
            say(label, text);
        }
    }
    if let Some(taken) = &facts.taken {
        say("taken", taken.as_str().replace('T', " "));
    }
    let location = match facts.has_location {
        Some(true) => "GPS coordinates in the file",
        Some(false) => "no GPS coordinates in the file",
        None => "not known: a packet of its metadata cannot be read",
    };
    say("location", location.to_owned());
    if let Some(why) = &facts.unmeasurable {
        lines.push(labelled("pixels", String::new()).and(Style::Warn, format!("cannot be measured: {why}")));
    }
    lines
}

/// Formats the reason why a file has no facts.
pub fn fault(name: &str, fault: &Fault) -> Vec<Line> {
    vec![Line::of(Style::Head, name), labelled("file", String::new()).and(Style::Bad, fault.what.as_str())]
}

/// Formats the line below the facts of a file whose pixels cannot be read to the last row.
pub fn pixels_fault_line(fault: &Fault) -> Line {
    labelled("pixels", String::new()).and(Style::Bad, fault.what.as_str())
}

/// Returns the colour space's name: the embedded profile, or the claim of a file without one.
pub fn profile(facts: &Facts) -> String {
    match (&facts.profile, &facts.claim) {
        (EmbeddedProfile::Embedded(profile), _) => profile.name().to_owned(),
        (EmbeddedProfile::Broken(why), _) => format!("embedded, but cannot be read: {why}"),
        (EmbeddedProfile::None, Some(claim)) => {
            format!("none embedded; {} according to {}", claim.encoding.name(), claim.source.name())
        }
        (EmbeddedProfile::None, None) => "none embedded".to_owned(),
    }
}

pub(crate) fn labelled(label: &str, text: String) -> Line {
    let line = Line::of(Style::Dim, format!("{label:LABEL$}")).indented(2, LABEL);
    if text.is_empty() { line } else { line.and(Style::Plain, text) }
}

fn file(facts: &Facts) -> String {
    let pages = match facts.pages {
        0 | 1 => String::new(),
        pages => format!(", {pages} pages"),
    };
    let layers = if facts.has_layers { ", with layers" } else { "" };
    let packed = facts.compression.word();
    let packed = match packed.as_str() {
        word if word == facts.format.word() => String::new(),
        word => format!(", compression {word}"),
    };
    format!("{}{packed}, {}{pages}{layers}", facts.format.name(), show::bytes(facts.bytes))
}

fn size(facts: &Facts) -> String {
    let upright = show::pixels(facts.upright_px());
    match facts.orientation.tag() {
        1 => upright,
        tag => format!("{upright} upright; stored {} (orientation tag {tag})", facts.orientation.words()),
    }
}

fn channels(facts: &Facts) -> String {
    let alpha = if facts.has_alpha { ", with an alpha channel" } else { "" };
    let extra = match facts.extra_channels {
        0 => String::new(),
        n => format!(", {}", show::count(n.into(), "extra channel", "extra channels")),
    };
    let claimed = match (facts.model, &facts.profile) {
        (ColourModel::Cmyk, EmbeddedProfile::None) => ", press not known",
        _ => "",
    };
    format!("{alpha}{extra}{claimed}")
}

fn tag_words(x_ppi: f64, y_ppi: f64) -> String {
    match (whole_ppi(x_ppi), whole_ppi(y_ppi)) {
        (x, y) if x == y => x,
        (x, y) => format!("{x} across and {y} down"),
    }
}

/// Formats a stored density; hundredths are as fine as any file's unit.
fn whole_ppi(ppi: f64) -> String {
    let hundredths = (ppi * 100.0).round();
    let exact = num_rational::Ratio::new(hundredths as i128, 100);
    Ppi::from_ratio(exact).map_or_else(|| "none".to_owned(), show::ppi)
}

fn jpeg_words(jpeg: &JpegFacts) -> String {
    let about = if jpeg.is_exact { "" } else { "about " };
    let scans = if jpeg.is_progressive { "progressive" } else { "baseline" };
    format!("quality {about}{}, subsampling {}, {scans}", jpeg.quality, jpeg.subsampling)
}

fn field_words(field: &MetadataText) -> Option<String> {
    if !field.disagrees() {
        return field.text().map(str::to_owned);
    }
    let homes: Vec<String> = field.sources.iter().map(|(home, text)| format!("{}: {text}", home.name())).collect();
    Some(format!("differs within the file ({})", homes.join("; ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::FaultKind;
    use crate::picture::facts::{MetadataSource, Orientation};
    use crate::report::sample;

    fn text(facts: &Facts) -> String {
        lines("p012.jpg", facts).iter().map(|line| line.text() + "\n").collect()
    }

    #[test]
    fn a_sound_picture_reads_well() {
        insta::assert_snapshot!(text(&sample::facts(2551, 3142)), @r"
        p012.jpg
        file          JPEG, 4.2 MB
        size          2551 x 3142 px
        colour        RGB, 8 bits a channel
        profile       sRGB
        density tag   300 ppi in the file; only the printed size counts
        JPEG          quality 92, subsampling 4:4:4, baseline
        creator       Fennimore Quay
        taken         2026-11-02 10:21:07
        location      no GPS coordinates in the file
        ");
    }

    #[test]
    fn what_a_person_would_not_guess_is_said() {
        let mut facts = sample::facts(3142, 2551);
        facts.orientation = Orientation::from_tag(6).unwrap();
        facts.profile = EmbeddedProfile::None;
        facts.credits.creator.sources.push((MetadataSource::Exif, "somebody else".to_owned()));
        facts.pages = 3;
        let text = text(&facts);
        for words in ["2551 x 3142 px upright", "none embedded", "differs within the file", "3 pages"] {
            assert!(text.contains(words), "{words} is missing in\n{text}");
        }
    }

    #[test]
    fn a_file_without_facts_says_why() {
        let lines = fault("p012.jpg", &Fault::new(FaultKind::Empty, "the file is empty"));
        assert!(lines[1].text().contains("the file is empty"));
    }
}
