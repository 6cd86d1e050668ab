//! XMP: creator, copyright, caption, credit line, coordinates, capture time and orientation. Source: ISO 16684-1.
//!
//! Knows no container. A packet with a DTD or entities of its own, or one that asks for more than any does, is not read
//! at all. It is gone through once, and nothing is looked up in more than the few namespaces that are in force: what a
//! packet costs grows with its bytes alone.

use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion, escape};

use super::capture_time::CaptureTime;
use super::facts::Orientation;
use super::limits;

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const DC: &str = "http://purl.org/dc/elements/1.1/";
const PHOTOSHOP: &str = "http://ns.adobe.com/photoshop/1.0/";
const EXIF: &str = "http://ns.adobe.com/exif/1.0/";
const TIFF: &str = "http://ns.adobe.com/tiff/1.0/";
/// The attribute that says an item's language, and the language to use.
const LANGUAGE: &str = "xml:lang";
const DEFAULT_LANGUAGE: &str = "x-default";

/// Properties of the Exif namespace that hold a coordinate; structures of IPTC Extension have them too
/// (LocationCreated, LocationShown). Source: CIPA DC-010, IPTC Photo Metadata Standard.
const COORDINATES: [&str; 4] = ["GPSLatitude", "GPSLongitude", "GPSDestLatitude", "GPSDestLongitude"];

/// What the packet says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct XmpFacts {
    /// dc:creator, several joined by "; ".
    pub creator: Option<String>,
    /// dc:rights in the default language.
    pub copyright: Option<String>,
    /// dc:description in the default language.
    pub caption: Option<String>,
    /// photoshop:Credit.
    pub credit_line: Option<String>,
    /// One of [`COORDINATES`] has a value, anywhere in the packet: inside a structure it is no less private.
    pub has_location: bool,
    /// exif:DateTimeOriginal, else photoshop:DateCreated.
    pub taken: Option<CaptureTime>,
    /// tiff:Orientation.
    pub orientation: Option<Orientation>,
    /// The packet is no sound XML in UTF-8, has a DTD, or is beyond the limits; it says nothing then.
    pub is_unreadable: bool,
}

/// Reads a packet.
pub fn read(packet: &[u8]) -> XmpFacts {
    let text = std::str::from_utf8(packet).ok().filter(|text| text.len() <= limits::MAX_PACKET_BYTES);
    let found = text.and_then(parse_padded);
    found.unwrap_or_else(|| XmpFacts { is_unreadable: true, ..XmpFacts::default() })
}

/// Reads the packets of one file. The first is the file's; of the others only what must not be overlooked counts:
/// coordinates, and that one cannot be read.
pub fn read_all<'a>(packets: impl IntoIterator<Item = &'a [u8]>) -> XmpFacts {
    let mut all = packets.into_iter().map(read);
    let mut found = all.next().unwrap_or_default();
    for other in all {
        found.has_location |= other.has_location;
        found.is_unreadable |= other.is_unreadable;
    }
    found
}

fn parse_padded(text: &str) -> Option<XmpFacts> {
    // Writers pad the packet, some with zero bytes.
    let text = text.trim_start_matches('\u{feff}').trim_matches(|c: char| c == '\0' || c.is_whitespace());
    parse(text)
}

/// Returns what the packet says; `None` where it is no sound XML, or beyond the limits.
fn parse(text: &str) -> Option<XmpFacts> {
    let mut reader = Reader::from_str(text);
    let mut walk = Walk::default();
    loop {
        match reader.read_event().ok()? {
            Event::Start(start) => walk.open(&start)?,
            Event::Empty(start) => {
                walk.open(&start)?;
                walk.close();
            }
            Event::End(_) => walk.close(),
            Event::Text(text) => walk.text(&text),
            Event::CData(text) => walk.text(&text),
            Event::GeneralRef(name) => match name.resolve_char_ref().ok()? {
                Some(character) => walk.text(character.encode_utf8(&mut [0; 4])),
                None => walk.text(escape::resolve_predefined_entity(&name)?),
            },
            Event::DocType(_) => return None,
            Event::Eof => return walk.elements.is_empty().then_some(walk.found),
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) => {}
        }
    }
}

/// What an open element is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Element {
    Rdf,
    /// One right below, that speaks of the picture; those inside a history speak of something else.
    Description,
    Property,
    /// The first element of a property: its list or its alternatives.
    List,
    Item,
    Other,
}

/// The property that is open.
#[derive(Default)]
struct Property {
    space: Option<&'static str>,
    name: String,
    text: String,
    has_list: bool,
    is_alternatives: bool,
    /// The items of its list, and whether each is in the default language.
    items: Vec<(bool, String)>,
}

/// A namespace in force.
struct Namespace {
    /// Empty for the one of names without a prefix.
    prefix: String,
    /// Which of ours it is.
    space: Option<&'static str>,
    /// How many elements are open outside the one that says so.
    depth: usize,
}

/// A walk through a packet.
#[derive(Default)]
struct Walk {
    elements: Vec<Element>,
    namespaces: Vec<Namespace>,
    nodes: usize,
    property: Property,
    /// How many elements are open around the outermost open coordinate.
    coordinate: Option<usize>,
    found: XmpFacts,
}

impl Walk {
    /// Enters an element; `None` where there are more than any packet has.
    fn open(&mut self, start: &BytesStart<'_>) -> Option<()> {
        let depth = self.elements.len();
        if depth == limits::MAX_XMP_DEPTH {
            return None;
        }
        self.nodes += 1;
        // Looking for doubles would take each attribute's time once for all others.
        for attribute in start.attributes().with_checks(false) {
            let attribute = attribute.ok()?;
            self.nodes += 1;
            let prefix = match attribute.key.into_inner() {
                "xmlns" => "",
                key => match key.strip_prefix("xmlns:") {
                    Some(prefix) => prefix,
                    None => continue,
                },
            };
            if self.namespaces.len() == limits::MAX_XMP_NAMESPACES {
                return None;
            }
            let space = [RDF, DC, PHOTOSHOP, EXIF, TIFF].into_iter().find(|space| *space == attribute.value);
            self.namespaces.push(Namespace { prefix: prefix.to_owned(), space, depth });
        }
        if self.nodes > limits::MAX_XMP_NODES {
            return None;
        }
        self.coordinates(start)?;
        let element = self.element(start);
        match element {
            Element::Description => self.attributes(start)?,
            Element::Property => {
                let (space, name) = self.resolve(start.name().into_inner());
                self.property = Property { space, name: name.to_owned(), ..Property::default() };
            }
            Element::List => {
                self.property.has_list = true;
                self.property.is_alternatives = self.is(start, "Alt");
            }
            Element::Item => {
                let language =
                    start.attributes().with_checks(false).flatten().find(|one| one.key.into_inner() == LANGUAGE);
                let is_default = language.is_some_and(|language| language.value == DEFAULT_LANGUAGE);
                self.property.items.push((is_default, String::new()));
            }
            Element::Rdf | Element::Other => {}
        }
        self.elements.push(element);
        Some(())
    }

    /// Notes whether an element is a coordinate, or has one as an attribute.
    fn coordinates(&mut self, start: &BytesStart<'_>) -> Option<()> {
        if self.coordinate.is_none() && self.is_coordinate(start.name().into_inner()) {
            self.coordinate = Some(self.elements.len());
        }
        for attribute in start.attributes().with_checks(false) {
            let attribute = attribute.ok()?;
            self.found.has_location |=
                self.is_coordinate(attribute.key.into_inner()) && !attribute.value.trim().is_empty();
        }
        Some(())
    }

    fn is_coordinate(&self, name: &str) -> bool {
        // Compares the name first: looking for the namespace of each attribute takes longer.
        COORDINATES.iter().any(|coordinate| name.ends_with(coordinate))
            && matches!(self.resolve(name), (Some(EXIF), name) if COORDINATES.contains(&name))
    }

    fn element(&self, start: &BytesStart<'_>) -> Element {
        match self.elements.last() {
            Some(Element::Rdf) if self.is(start, "Description") => Element::Description,
            Some(Element::Description) => Element::Property,
            Some(Element::Property) if !self.property.has_list => Element::List,
            Some(Element::List) if self.is(start, "li") => Element::Item,
            _ if self.elements.contains(&Element::Property) => Element::Other,
            _ if self.is(start, "RDF") => Element::Rdf,
            _ => Element::Other,
        }
    }

    /// True if an element is RDF's of that name.
    fn is(&self, start: &BytesStart<'_>, name: &str) -> bool {
        self.resolve(start.name().into_inner()) == (Some(RDF), name)
    }

    /// Returns a name's namespace, if it is one of ours, and what follows its prefix.
    fn resolve<'n>(&self, name: &'n str) -> (Option<&'static str>, &'n str) {
        let (prefix, name) = name.split_once(':').unwrap_or(("", name));
        let of = self.namespaces.iter().rfind(|namespace| namespace.prefix == prefix);
        (of.and_then(|namespace| namespace.space), name)
    }

    /// Reads properties from attributes, where simple ones may be.
    fn attributes(&mut self, start: &BytesStart<'_>) -> Option<()> {
        for attribute in start.attributes().with_checks(false) {
            let attribute = attribute.ok()?;
            let (space, name) = self.resolve(attribute.key.into_inner());
            let value = attribute.normalized_value(XmlVersion::Explicit1_0).ok()?;
            take(&mut self.found, space, name, || limits::text(&value));
        }
        Some(())
    }

    fn text(&mut self, text: &str) {
        self.found.has_location |= self.coordinate.is_some() && !text.trim().is_empty();
        match self.elements.last() {
            Some(Element::Property) => self.property.text.push_str(text),
            Some(Element::Item) => {
                if let Some((_, item)) = self.property.items.last_mut() {
                    item.push_str(text);
                }
            }
            _ => {}
        }
    }

    /// Leaves the innermost element.
    fn close(&mut self) {
        if self.elements.pop() == Some(Element::Property) {
            let property = std::mem::take(&mut self.property);
            take(&mut self.found, property.space, &property.name, || property.value());
        }
        let depth = self.elements.len();
        self.coordinate = self.coordinate.filter(|around| *around < depth);
        while self.namespaces.pop_if(|namespace| namespace.depth >= depth).is_some() {}
    }
}

impl Property {
    /// Returns the default language of alternatives, all items of a list, or the text itself.
    fn value(&self) -> Option<String> {
        let mut items = self.items.iter();
        match (self.has_list, self.is_alternatives) {
            (false, _) => limits::text(&self.text),
            (true, true) => {
                let chosen = items.clone().find(|(is_default, _)| *is_default).or(items.next());
                chosen.and_then(|(_, text)| limits::text(text))
            }
            (true, false) => {
                let all: Vec<&str> = items.map(|(_, text)| text.trim()).filter(|text| !text.is_empty()).collect();
                limits::text(&all.join("; "))
            }
        }
    }
}

fn take(found: &mut XmpFacts, space: Option<&str>, name: &str, value: impl Fn() -> Option<String>) {
    let time = || CaptureTime::from_iso(&value()?);
    let field = match (space, name) {
        (Some(DC), "creator") => &mut found.creator,
        (Some(DC), "rights") => &mut found.copyright,
        (Some(DC), "description") => &mut found.caption,
        (Some(PHOTOSHOP), "Credit") => &mut found.credit_line,
        (Some(EXIF), "DateTimeOriginal") => {
            found.taken = time().or(found.taken.take());
            return;
        }
        (Some(PHOTOSHOP), "DateCreated") => {
            found.taken = found.taken.take().or_else(time);
            return;
        }
        (Some(TIFF), "Orientation") => {
            found.orientation = value().and_then(|number| Orientation::from_tag(number.parse().ok()?));
            return;
        }
        _ => return,
    };
    if field.is_none() {
        *field = value();
    }
}

#[cfg(test)]
pub mod tests {
    use super::*;

    /// A packet with every property that is read, one of them as an attribute.
    pub const PACKET: &str = r#"<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/" xmlns:exif="http://ns.adobe.com/exif/1.0/"
 photoshop:Credit="Fennimore Quay" exif:GPSLatitude="51,30.0N" exif:DateTimeOriginal="2026-11-02T10:21:07">
<dc:creator><rdf:Seq><rdf:li>One</rdf:li><rdf:li>Two</rdf:li></rdf:Seq></dc:creator>
<dc:rights><rdf:Alt><rdf:li xml:lang="de">anders</rdf:li>
<rdf:li xml:lang="x-default">(c) School</rdf:li></rdf:Alt></dc:rights>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">Plum tart &amp; cream</rdf:li></rdf:Alt></dc:description>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"#;

    #[test]
    fn lists_alternatives_and_attributes_are_read() {
        let padded = [PACKET.as_bytes(), &[0; 40]].concat();
        let found = read(&padded);
        assert_eq!(found.creator.as_deref(), Some("One; Two"));
        assert_eq!(found.copyright.as_deref(), Some("(c) School"));
        assert_eq!(found.caption.as_deref(), Some("Plum tart & cream"));
        assert_eq!(found.credit_line.as_deref(), Some("Fennimore Quay"));
        assert_eq!(found.taken.as_ref().map(CaptureTime::as_str), Some("2026-11-02T10:21:07"));
        assert!(found.has_location);
    }

    #[test]
    fn entities_of_its_own_are_refused() {
        let bomb = PACKET.replace("<x:xmpmeta", "<!DOCTYPE x [<!ENTITY a \"b\">]><x:xmpmeta").replace("One", "&a;");
        assert_eq!(read(bomb.as_bytes()), XmpFacts { is_unreadable: true, ..XmpFacts::default() });
    }

    #[test]
    fn a_packet_that_cannot_be_read_is_said_and_the_first_is_the_file_s() {
        let utf16: Vec<u8> = PACKET.encode_utf16().flat_map(u16::to_be_bytes).collect();
        for packet in [utf16.as_slice(), b"<a>", b"<a>&&</a>", b"\xe9"] {
            assert!(read(packet).is_unreadable, "{}", packet.escape_ascii());
        }
        assert!(!read(b"").is_unreadable);
        let silent = PACKET.replace("exif:GPSLatitude=\"51,30.0N\"", "").replace("One", "Another");
        let found = read_all([silent.as_bytes(), PACKET.as_bytes(), b"<a>"]);
        assert_eq!(found.creator.as_deref(), Some("Another; Two"));
        assert!(found.has_location && found.is_unreadable);
    }

    #[test]
    fn a_simple_property_may_be_an_attribute_or_an_element() {
        let packet = |inside: &str| {
            let spaces = format!("xmlns:r='{RDF}' xmlns:t='{TIFF}' xmlns:p='{PHOTOSHOP}' xmlns:e='{EXIF}'");
            read(format!("<r:RDF {spaces}><r:Description {inside}</r:Description></r:RDF>").as_bytes())
        };
        let turned = Orientation::from_tag(6);
        for inside in [
            "t:Orientation='6' p:Credit='A &amp; B&#33;'>",
            "><t:Orientation>6</t:Orientation><p:Credit>A &amp; <![CDATA[B]]>&#33;</p:Credit>",
            "><x:Orientation xmlns:x='http://ns.adobe.com/tiff/1.0/'>6</x:Orientation><p:Credit>A &amp; B!</p:Credit>",
        ] {
            let found = packet(inside);
            assert_eq!((found.orientation, found.credit_line.as_deref()), (turned, Some("A & B!")), "{inside}");
        }
        assert_eq!(packet("t:Orientation='nine'>").orientation, None);
        // A history's own description says nothing of the picture.
        let history = "><p:History><r:Seq><r:li><r:Description p:Credit='before'/></r:li></r:Seq></p:History>";
        assert_eq!(packet(history), XmpFacts::default());
    }

    #[test]
    fn coordinates_are_found_wherever_they_stand() {
        let location = |inside: &str| {
            let spaces = format!(
                "xmlns:r='{RDF}' xmlns:e='{EXIF}' xmlns:i='http://iptc.org/std/Iptc4xmpExt/2008-02-29/' xmlns:o='other'"
            );
            read(format!("<r:RDF {spaces}><r:Description {inside}</r:Description></r:RDF>").as_bytes()).has_location
        };
        // Structures of IPTC Extension in the three forms that ISO 16684-1 allows, alone and in a list.
        for inside in [
            "e:GPSDestLatitude='50,6.0N'>",
            "><e:GPSLongitude>8,12.0E</e:GPSLongitude>",
            "><e:GPSLatitude r:parseType='Resource'><r:value>50,6.0N</r:value></e:GPSLatitude>",
            "><i:LocationCreated><r:Bag><r:li r:parseType='Resource'><i:City>Corrow</i:City>\
             <e:GPSLatitude>50,6.0N</e:GPSLatitude></r:li></r:Bag></i:LocationCreated>",
            "><i:LocationShown><r:Bag><r:li><r:Description e:GPSLongitude='8,12.0E'/></r:li></r:Bag></i:LocationShown>",
            "><i:LocationShown><r:Bag><r:li e:GPSLongitude='8,12.0E'/></r:Bag></i:LocationShown>",
            "><i:LocationCreated r:parseType='Resource'><e:GPSLatitude>50,6.0N</e:GPSLatitude></i:LocationCreated>",
        ] {
            assert!(location(inside), "{inside}");
        }
        for inside in [
            ">",
            "e:GPSLatitude=' '>",
            "><e:GPSLatitude> </e:GPSLatitude><i:City>Corrow</i:City>",
            "><e:GPSMapDatum>WGS-84</e:GPSMapDatum><o:GPSLatitude>50</o:GPSLatitude>",
            "><i:LocationCreated><r:Bag><r:li><r:Description i:City='Corrow'/></r:li></r:Bag></i:LocationCreated>",
        ] {
            assert!(!location(inside), "{inside}");
        }
    }

    /// Longest that a packet may take in a build without optimisation. Source: ours; ten times what it takes here.
    const MAX_TIME: std::time::Duration = std::time::Duration::from_secs(5);

    #[test]
    fn hostile_packets_cost_no_more_than_their_bytes() {
        let inside = |text: String| format!("<r:RDF xmlns:r='{RDF}'><r:Description>{text}</r:Description></r:RDF>");
        let nested = |count: usize| {
            let open: String = (0..count).map(|at| format!("<n{at}:a xmlns:n{at}='u{at}'>")).collect();
            let close: String = (0..count).rev().map(|at| format!("</n{at}:a>")).collect();
            inside(open + &close)
        };
        let attributes = |name: &str| (0..150_000).map(|at| format!(" {name}{at}='u'")).collect::<String>();
        let packets = [
            nested(5_000),
            nested(80_000),
            inside(format!("<r:a{}/>", attributes("a"))),
            inside(format!("<r:a{}/>", attributes("xmlns:a"))),
            inside(format!("<r:a>{}</r:a>", "<![CDATA[a]]>".repeat(250_000))),
            inside(format!("<r:a>{}</r:a>", "&amp;".repeat(600_000))),
            inside(format!("<r:a><r:Bag>{}</r:Bag></r:a>", "<r:li>a</r:li>".repeat(190_000))),
            "<a>".repeat(1_000_000),
        ];
        for packet in packets {
            let began = std::time::Instant::now();
            let _ = read(packet.as_bytes());
            assert!(began.elapsed() < MAX_TIME, "{:.60}... takes {:?}", packet, began.elapsed());
        }
    }

    #[test]
    fn a_sound_packet_is_within_the_limits() {
        // As many namespaces and as deep as no writer goes, with a credit behind it all.
        let spaces: String = (0..100).map(|at| format!(" xmlns:n{at}='u{at}'")).collect();
        let history = "<r:a>".repeat(60) + &"</r:a>".repeat(60);
        let packet = format!(
            "<r:RDF xmlns:r='{RDF}' xmlns:p='{PHOTOSHOP}'{spaces}><r:Description><r:x>{history}</r:x>\
             <p:Credit>One</p:Credit></r:Description></r:RDF>"
        );
        assert_eq!(read(packet.as_bytes()).credit_line.as_deref(), Some("One"));
    }

    #[test]
    fn cut_packets_never_panic() {
        for end in 0..PACKET.len() {
            let _ = read(&PACKET.as_bytes()[..end]);
        }
    }
}
