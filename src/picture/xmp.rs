//! XMP: creator, copyright, caption, credit line, coordinates and capture time. Source: ISO 16684-1.
//!
//! Knows no container. A packet with a DTD or entities, or one that is too large, is not read at all.

use roxmltree::{Document, Node, ParsingOptions};

use super::limits;

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const DC: &str = "http://purl.org/dc/elements/1.1/";
const PHOTOSHOP: &str = "http://ns.adobe.com/photoshop/1.0/";
const EXIF: &str = "http://ns.adobe.com/exif/1.0/";
const XML: &str = "http://www.w3.org/XML/1998/namespace";

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
    /// exif:GPSLatitude or exif:GPSLongitude is there.
    pub location: bool,
    /// exif:DateTimeOriginal, else photoshop:DateCreated.
    pub taken: Option<String>,
}

/// Reads a packet.
pub fn read(packet: &[u8]) -> XmpFacts {
    if packet.len() > limits::PACKET_BYTES_MOST {
        return XmpFacts::default();
    }
    let Ok(text) = std::str::from_utf8(packet) else { return XmpFacts::default() };
    // Writers pad the packet, some with zero bytes.
    let text = text.trim_start_matches('\u{feff}').trim_matches(|c: char| c == '\0' || c.is_whitespace());
    let options = ParsingOptions { allow_dtd: false, nodes_limit: limits::XMP_NODES_MOST, ..Default::default() };
    let Ok(document) = Document::parse_with_options(text, options) else { return XmpFacts::default() };
    let mut found = XmpFacts::default();
    for description in document.descendants().filter(|node| node.has_tag_name((RDF, "Description"))) {
        // Only top-level descriptions speak of the picture; those inside a history speak of something else.
        if !description.parent().is_some_and(|parent| parent.has_tag_name((RDF, "RDF"))) {
            continue;
        }
        description.attributes().for_each(|property| {
            take(&mut found, property.namespace(), property.name(), || limits::text(property.value()));
        });
        for property in description.children().filter(Node::is_element) {
            let name = property.tag_name();
            take(&mut found, name.namespace(), name.name(), || value(property));
        }
    }
    found
}

fn take(found: &mut XmpFacts, space: Option<&str>, name: &str, value: impl Fn() -> Option<String>) {
    let field = match (space, name) {
        (Some(DC), "creator") => &mut found.creator,
        (Some(DC), "rights") => &mut found.copyright,
        (Some(DC), "description") => &mut found.caption,
        (Some(PHOTOSHOP), "Credit") => &mut found.credit_line,
        (Some(EXIF), "DateTimeOriginal") => {
            found.taken = value().or(found.taken.take());
            return;
        }
        (Some(PHOTOSHOP), "DateCreated") => &mut found.taken,
        (Some(EXIF), "GPSLatitude" | "GPSLongitude") => {
            found.location |= value().is_some();
            return;
        }
        _ => return,
    };
    if field.is_none() {
        *field = value();
    }
}

/// A property's text: the default language of alternatives, all items of a list, or the text itself.
fn value(property: Node<'_, '_>) -> Option<String> {
    let Some(list) = property.children().find(Node::is_element) else {
        return property.text().and_then(limits::text);
    };
    let items = || list.children().filter(|node| node.has_tag_name((RDF, "li")));
    if list.has_tag_name((RDF, "Alt")) {
        let chosen = items().find(|item| item.attribute((XML, "lang")) == Some("x-default")).or(items().next());
        return chosen.and_then(|item| item.text()).and_then(limits::text);
    }
    let all: Vec<&str> =
        items().filter_map(|item| item.text()).map(str::trim).filter(|text| !text.is_empty()).collect();
    limits::text(&all.join("; "))
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
        assert_eq!(found.taken.as_deref(), Some("2026-11-02T10:21:07"));
        assert!(found.location);
    }

    #[test]
    fn entities_of_its_own_are_refused() {
        let bomb = PACKET.replace("<x:xmpmeta", "<!DOCTYPE x [<!ENTITY a \"b\">]><x:xmpmeta").replace("One", "&a;");
        assert_eq!(read(bomb.as_bytes()), XmpFacts::default());
    }

    #[test]
    fn cut_packets_never_panic() {
        for end in 0..PACKET.len() {
            let _ = read(&PACKET.as_bytes()[..end]);
        }
    }
}
