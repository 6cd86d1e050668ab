//! Prints that are parts of one picture, and files that serve several prints: what a check says of them.

use jpeg_encoder::{ColorType, Encoder};

use crate::support::{Job, srgb};

/// Two pages of 40 x 60 mm, side by side.
const PAIR: &str = "[[print]]\nname = \"left\"\npicture = \"left*\"\nsize = \"40 x 60 mm\"\ngroup = \"pair\"\n\
                    [[print]]\nname = \"right\"\npicture = \"right*\"\nsize = \"40 x 60 mm\"\ngroup = \"pair\"\n";

/// A picture of 480 x 720 px whose rows differ: a part that begins at a column of the whole and lies some rows lower.
fn part(first_column: u32, lower: u32, lighter: f64) -> Vec<u8> {
    let code = |x: u32, y: u32| {
        let (x, y) = (f64::from(x + first_column) / 400.0, f64::from(y) - f64::from(lower));
        (110.0 + lighter + 40.0 * (y / 9.0 + x).sin() + 30.0 * (y * y / 7_000.0).cos()) as u8
    };
    let codes: Vec<u8> = (0..720).flat_map(|y| (0..480).flat_map(move |x| [code(x, y); 3])).collect();
    let mut written = Vec::new();
    let mut encoder = Encoder::new(&mut written, 95);
    encoder.add_icc_profile(&srgb()).unwrap();
    encoder.encode(&codes, 480, 720, ColorType::Rgb).unwrap();
    written
}

fn seam(job: &Job, right: &[u8]) -> Vec<String> {
    job.put("right.jpg", right);
    let row = job.row("right.jpg");
    let findings = row["findings"].as_array().unwrap();
    let of_seam = findings.iter().filter(|one| one["rule"] == "set.seam");
    of_seam.map(|one| one["found"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn parts_of_one_picture_meet_or_say_how_they_do_not() {
    let job = Job::new(PAIR);
    job.put("left.jpg", part(0, 0, 0.0));
    assert_eq!(seam(&job, &part(480, 0, 0.0)), <[&str; 0]>::default());
    let lower = seam(&job, &part(480, 14, 0.0));
    assert!(lower[0].starts_with("right.jpg lies 1") && lower[0].contains(" mm lower than left.jpg"), "{lower:?}");
    let lighter = seam(&job, &part(480, 0, 12.0));
    assert!(lighter[0].starts_with("right.jpg is lighter than left.jpg along the seam, by 1"), "{lighter:?}");
    job.run("explain set.seam").ends(0).says(&["finished size"]);
    job.run("brief show brief.toml").ends(0).says(&["group", "pair"]);
}

#[test]
fn one_file_for_several_sizes_says_which_decides() {
    let job = Job::new(
        "[[print]]\nsize = \"40 x 60 mm\"\npicture = \"left*\"\n[[print]]\nsize = \"20 x 30 mm\"\npicture = \
         \"left*\"\n",
    );
    job.put("left.jpg", part(0, 0, 0.0));
    job.check("").says(&[
        "one file for 2 prints: 40 x 60 mm and 20 x 30 mm; 40 x 60 mm decides the pixels: 472 x 709 px at 300 ppi",
    ]);
}

#[test]
fn a_spread_folds_in_its_middle() {
    let job = Job::new("[[print]]\npage = \"12-13\"\nsize = \"420 x 260 mm\"\n");
    job.run("brief show brief.toml").ends(0).says(&["210 mm", "the spread's spine"]);
}
