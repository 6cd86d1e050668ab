//! Names for new files that are valid on every system.

use crate::units::words::acts_on_line;

/// Characters with a special meaning on some system. Source: Microsoft's naming rules for files, and POSIX's `/`.
const NEVER: [char; 9] = ['/', '\\', ':', '*', '?', '"', '<', '>', '|'];

/// Returns a name of one part that stays within its folder and holds no control character; characters not allowed in
/// file names become hyphens.
pub fn plain(name: &str) -> String {
    let name = make_harmless(name);
    if name.is_empty() { "picture".to_owned() } else { name }
}

/// True if nothing of a name is valid on every system.
pub fn leaves_nothing(name: &str) -> bool {
    make_harmless(name).is_empty()
}

/// Names of devices, which some systems take for a file's or a folder's in any case, with or without an extension.
/// Source: Microsoft's naming rules for files.
const RESERVED: [&str; 4] = ["con", "prn", "aux", "nul"];

/// True if some system keeps a name for a device.
pub fn is_reserved(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name).to_lowercase();
    let is_port = |port: &str| stem.strip_prefix(port).is_some_and(|n| n.len() == 1 && ("1"..="9").contains(&n));
    RESERVED.contains(&stem.as_str()) || is_port("com") || is_port("lpt")
}

fn make_harmless(name: &str) -> String {
    let harmless = |c: char| if NEVER.contains(&c) || acts_on_line(c) { '-' } else { c };
    let name: String = name.chars().map(harmless).collect();
    // A leading dot hides a file; a leading hyphen is an option to many programs.
    name.trim().trim_start_matches(['.', '-']).trim_end_matches(['.', ' ']).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_leaves_its_folder_or_acts_on_a_line() {
        assert_eq!(plain("../../etc/passwd"), "etc-passwd");
        assert_eq!(plain("a\u{1b}[31m\u{202e}b\n.jpg"), "a-[31m-b-.jpg");
        assert_eq!(plain(".hidden"), "hidden");
        assert_eq!(plain("-rf"), "rf");
        assert_eq!(plain("..."), "picture");
        assert!(leaves_nothing("*?") && !leaves_nothing("a"));
    }
}
