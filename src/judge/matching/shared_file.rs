//! One file that several prints take: which of them decides how many pixels it needs.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, Print, PrintsById};
use crate::judge::model::row::Row;
use crate::judge::rules::phrases::NAMED;
use crate::picture::PictureKey;
use crate::units::show;
use crate::units::words::visible;

/// Writes on every row of a picture that several prints take which prints these are; takes it off rows whose picture
/// serves one print only. Rows that say so already are left as they are.
pub fn remark_on(rows: &mut [Arc<Row>], brief: &Brief) {
    let prints = PrintsById::of(brief);
    let mut rows_of: HashMap<&PictureKey, Vec<(usize, &Print)>> = HashMap::new();
    for (at, row) in rows.iter().enumerate() {
        if let (Some(picture), Some(print)) = (&row.key.picture, prints.get(row.key.print.as_ref())) {
            rows_of.entry(picture).or_default().push((at, print));
        }
    }
    let mut changed: Vec<(usize, Arc<str>)> = Vec::new();
    for of_picture in rows_of.into_values() {
        let remark: Arc<str> = if of_picture.len() > 1 { words(&of_picture, rows).into() } else { Arc::default() };
        let differs = |at: &usize| *rows[*at].pairing_note != *remark;
        changed.extend(of_picture.iter().map(|(at, _)| *at).filter(differs).map(|at| (at, remark.clone())));
    }
    for (at, remark) in changed {
        Arc::make_mut(&mut rows[at]).pairing_note = remark.as_ref().to_owned();
    }
}

/// Returns the prints of one file in words, and the pixels of the one that needs the most.
fn words(of_picture: &[(usize, &Print)], rows: &[Arc<Row>]) -> String {
    let mut sizes: Vec<String> = Vec::new();
    for (_, print) in of_picture {
        let called = called(print);
        if !sizes.contains(&called) && sizes.len() <= NAMED {
            sizes.push(called);
        }
    }
    let prints = show::count(of_picture.len(), "print", "prints");
    if sizes.len() > NAMED {
        sizes[NAMED] = "others".to_owned();
    }
    let last = sizes.pop().unwrap_or_default();
    let named = if sizes.is_empty() { last } else { format!("{} and {last}", sizes.join(", ")) };
    let needs = |(at, print): &(usize, &Print)| {
        let placement = rows[*at].placement.as_ref()?;
        let target = print.requirements.density.target;
        Some((target.as_f64() / placement.fit?.density.as_f64(), placement.needed_px(target), target))
    };
    let most = of_picture
        .iter()
        .filter_map(|one| Some((needs(one)?, called(one.1))))
        .max_by(|(a, _), (b, _)| a.0.total_cmp(&b.0));
    let decides = most.map_or(String::new(), |((_, px, target), called)| {
        format!("; {called} decides the pixels: {} at {}", show::pixels(px), show::ppi(target))
    });
    format!("one file for {prints}: {named}{decides}")
}

/// A print by its size, with its name where it has one of its own.
fn called(print: &Print) -> String {
    let size = print.size.show();
    if print.name == size { size } else { format!("{} ({size})", visible(&print.name)) }
}

#[cfg(test)]
mod tests {
    use crate::judge::judge;
    use crate::judge::testing::{brief, sound_submission};

    #[test]
    fn a_file_for_several_sizes_names_them_and_the_one_that_decides() {
        let text = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"a*\"\n[[print]]\nname = \"poster\"\nsize = \"16 x 20 \
                    in\"\npicture = \"a*\"\n[[print]]\nsize = \"4 x 5 in\"\npicture = \"b*\"";
        let files = [sound_submission("a.jpg", 2400, 3000), sound_submission("b.jpg", 1200, 1500)];
        let rows = judge(&brief(text), &files).rows;
        let said = "one file for 2 prints: 8 x 10 in and poster (16 x 20 in); poster (16 x 20 in) decides the pixels: \
                    4800 x 6000 px at 300 ppi";
        assert_eq!(rows.iter().map(|row| row.pairing_note.as_str()).collect::<Vec<_>>(), [said, said, ""]);
    }

    #[test]
    fn many_prints_of_one_file_are_counted() {
        let text: String =
            (4..12).map(|side| format!("[[print]]\nsize = \"{side} x {side} in\"\npicture = \"a*\"\n")).collect();
        let rows = judge(&brief(&text), &[sound_submission("a.jpg", 3600, 3600)]).rows;
        assert_eq!(
            rows[0].pairing_note,
            "one file for 8 prints: 4 x 4 in, 5 x 5 in, 6 x 6 in, 7 x 7 in and others; 11 x 11 in decides the pixels: \
             3300 x 3300 px at 300 ppi"
        );
    }
}
