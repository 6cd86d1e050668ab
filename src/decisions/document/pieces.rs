//! A text of decisions in pieces that are TOML each by itself, so that a long one need not be held parsed as a whole.

use std::ops::Range;

/// Heads of the tables that we write.
const HEADS: [&str; 3] = ["[[subject]]", "[[accepted]]", "[[seen]]"];

/// Pieces of so many tables, with what stands above the first in the first. A text in which a line begins with a
/// bracket that is none of our heads, or which holds texts over several lines, is one piece: what belongs together
/// there is not told by lines.
pub(crate) fn of(text: &str, tables: usize) -> Vec<Range<usize>> {
    let whole = 0..text.len();
    if text.contains("\"\"\"") || text.contains("'''") {
        return vec![whole];
    }
    let mut starts = vec![0];
    let (mut at, mut heads) = (0, 0);
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with('[') {
            if !HEADS.contains(&line.trim()) {
                return vec![whole];
            }
            if heads > 0 && heads % tables == 0 {
                starts.push(at);
            }
            heads += 1;
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().copied().zip(ends).map(|(start, end)| start..end).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_of_ours_is_parted_before_a_head_and_any_other_is_left_whole() {
        let text = "version = 1\n\n[[seen]]\na = [1,\n2]\n[[seen]]\nb = 1\n  [[subject]]\n[[accepted]]\n";
        let parts: Vec<&str> = of(text, 2).into_iter().map(|piece| &text[piece]).collect();
        assert_eq!(parts.concat(), text);
        assert_eq!(parts[1], "  [[subject]]\n[[accepted]]\n");
        assert_eq!(of(text, 100).len(), 1);
        for other in
            ["[more]\n", "[[later]]\n", "[[seen]] # meant\n", "a = [\n[1]]\n", "a = \"\"\"\n\"\"\"\n", "[seen.x]\n"]
        {
            let text = format!("{text}{other}{text}");
            assert!(of(&text, 1).len() == 1, "{other}");
        }
        assert_eq!(of("", 1).len(), 1);
    }
}
