//! A line that a person types.

/// Adds a letter to a line of at most so many; what acts on a terminal is no letter.
pub fn add(line: &mut String, letter: char, most: usize) {
    if line.chars().count() < most && !letter.is_control() {
        line.push(letter);
    }
}

/// The letters of a text that was pasted: a line break in it is a space, those at its ends are nothing.
pub fn paste(text: &str) -> impl Iterator<Item = char> {
    text.trim().chars().map(|letter| if matches!(letter, '\r' | '\n' | '\t') { ' ' } else { letter })
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_pasted_line_break_is_a_space_and_never_a_key() {
        assert_eq!(super::paste("\r\nout\tof\nhere\n").collect::<String>(), "out of here");
    }

    #[test]
    fn a_line_is_bounded_in_letters_and_holds_nothing_that_acts() {
        let mut line = String::new();
        for letter in "p\u{1b}ö\u{7}tit four".chars() {
            super::add(&mut line, letter, 5);
        }
        assert_eq!(line, "pötit");
    }
}
