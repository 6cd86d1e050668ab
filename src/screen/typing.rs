//! A line that a person types.

/// Adds a letter to a line of at most so many; what acts on a terminal is no letter.
pub fn add(line: &mut String, letter: char, most: usize) {
    if line.chars().count() < most && !letter.is_control() {
        line.push(letter);
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_line_is_bounded_in_letters_and_holds_nothing_that_acts() {
        let mut line = String::new();
        for letter in "p\u{1b}ö\u{7}tit four".chars() {
            super::add(&mut line, letter, 5);
        }
        assert_eq!(line, "pötit");
    }
}
