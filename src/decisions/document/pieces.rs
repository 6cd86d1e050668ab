//! A text of decisions in pieces that are each valid TOML, so that a long one need not be held parsed as a whole.

use std::ops::Range;

use super::lists::LISTS;

/// Comments and blank lines in a row above this many bytes are pieces of their own: parsed, a short line takes ten
/// times its size. Nobody writes as much above one table. No source.
const MAX_COMMENT_BYTES: usize = 1 << 20;

/// Returns pieces of `tables` tables each, with anything above the first table in the first; comments and blank lines
/// go with the table below them, but for very long ones. A text in which a line begins with a bracket that is not one
/// of our heads, or which holds multi-line strings, is one piece: its lines do not show what belongs together.
pub(super) fn of(text: &str, tables: usize) -> Vec<Range<usize>> {
    let whole = 0..text.len();
    if text.contains("\"\"\"") || text.contains("'''") {
        return vec![whole];
    }
    let mut starts = vec![0];
    let (mut at, mut heads) = (0, 0);
    // Start of the comments and blank lines directly above the line.
    let mut above = 0;
    for line in text.split_inclusive('\n') {
        let words = line.trim();
        if words.starts_with('[') {
            if !is_head(words) {
                return vec![whole];
            }
            if heads > 0 && heads % tables == 0 {
                starts.push(above);
            }
            heads += 1;
        }
        at += line.len();
        let is_comment = words.is_empty() || words.starts_with('#');
        // The version above everything stays in the first piece.
        let is_too_long = is_comment && above > 0 && at - above > MAX_COMMENT_BYTES;
        if is_too_long {
            starts.push(at);
        }
        if !is_comment || is_too_long {
            above = at;
        }
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().copied().zip(ends).map(|(start, end)| start..end).collect()
}

/// True if a line is the head of a table written here.
fn is_head(line: &str) -> bool {
    let list = line.strip_prefix("[[").and_then(|rest| rest.strip_suffix("]]"));
    list.is_some_and(|list| LISTS.iter().any(|ours| ours.head == list))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_of_ours_is_parted_before_a_head_and_any_other_is_left_whole() {
        let text = "version = 1\n\n[[seen]]\na = [1,\n# two\n2]\n[[seen]]\nb = 1 # one\n\n# of\r\n# ours\n  \
                    [[subject]]\n[[accepted]]\n# end\n";
        let parts: Vec<&str> = of(text, 2).into_iter().map(|piece| &text[piece]).collect();
        assert_eq!(parts.concat(), text);
        assert_eq!(parts[1], "\n# of\r\n# ours\n  [[subject]]\n[[accepted]]\n# end\n");
        assert_eq!(of(text, 1).len(), 4);
        assert_eq!(of(text, 100).len(), 1);
        for other in
            ["[more]\n", "[[later]]\n", "[[seen]] # meant\n", "a = [\n[1]]\n", "a = \"\"\"\n\"\"\"\n", "[seen.x]\n"]
        {
            let text = format!("{text}{other}{text}");
            assert!(of(&text, 1).len() == 1, "{other}");
        }
        assert_eq!(of("", 1).len(), 1);
    }

    #[test]
    fn comments_without_end_are_pieces_of_their_own() {
        let comments = "# and so on\n".repeat(5 * MAX_COMMENT_BYTES / 12);
        let text = format!("version = 1\n{comments}[[seen]]\na = 1\n{comments}");
        let pieces = of(&text, 100);
        assert!(pieces.iter().all(|piece| piece.len() <= 2 * MAX_COMMENT_BYTES), "{pieces:?}");
        let whole: String = pieces.into_iter().map(|piece| &text[piece]).collect();
        assert!(whole == text, "pieces are the text");
    }
}
