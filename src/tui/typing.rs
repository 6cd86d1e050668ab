//! Lines that a person types.

/// Adds text to a line of at most `most` characters; control characters are left out.
pub fn add(line: &mut String, text: &str, most: usize) {
    let room = most.saturating_sub(line.chars().count());
    line.extend(text.chars().filter(|letter| !letter.is_control()).take(room));
}

/// Returns pasted text as if typed: line breaks within it become spaces, those at its ends are left out.
pub fn pasted(text: &str) -> String {
    text.trim().chars().map(|letter| if matches!(letter, '\r' | '\n' | '\t') { ' ' } else { letter }).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_pasted_line_break_is_a_space_and_never_a_key() {
        assert_eq!(super::pasted("\r\nout\tof\nhere\n"), "out of here");
    }

    #[test]
    fn a_line_is_bounded_in_letters_and_holds_nothing_that_acts() {
        let mut line = String::new();
        super::add(&mut line, "p\u{1b}ö\u{7}ti", 5);
        super::add(&mut line, "t four", 5);
        assert_eq!(line, "pötit");
    }
}
