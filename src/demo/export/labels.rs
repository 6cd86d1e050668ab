//! Metadata of a file, common to all formats.

use crate::demo::picture::{CREATOR, RIGHTS, Words};

/// The metadata of a file.
pub struct Labels<'a> {
    pub ppi: u16,
    /// Exif bytes.
    pub exif: Vec<u8>,
    /// An XMP packet.
    pub packet: Option<String>,
    pub profile: Option<&'a [u8]>,
    pub words: Words,
    pub taken: &'static str,
}

/// Writes credit and caption as an XMP packet.
pub fn packet(words: &Words) -> String {
    let in_all_languages = |name: &str, text: &str| {
        format!(
            "<dc:{name}><rdf:Alt><rdf:li xml:lang=\"x-default\">{text}</rdf:li>\
             </rdf:Alt></dc:{name}>\n"
        )
    };
    let mut fields = in_all_languages("description", words.caption);
    if words.is_credited {
        let creator = format!("<rdf:Seq><rdf:li>{CREATOR}</rdf:li></rdf:Seq>");
        fields += &format!("<dc:creator>{creator}</dc:creator>\n");
        fields += &in_all_languages("rights", RIGHTS);
    }
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\">\n\
         {fields}\
         </rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>"
    )
}
