//! The contact sheet.

use std::fs;

use crate::support::Job;

/// Two facing pages and a wall print without a picture.
const BOOK: &str = "title = \"Low <b>Water</b> Suppers\"\nfrom = \"Maren Olde\"\n\
     [[print]]\nname = \"leeks\"\npage = 3\npicture = \"leeks*\"\nsize = \"2 x 2.5 in\"\n\
     [[print]]\nname = \"plum tart\"\npage = 2\npicture = \"tart*\"\nsize = \"2 x 2.5 in\"\n\
     [[print]]\nname = \"the table\"\npicture = \"table*\"\nsize = \"8 x 10 in\"\n";

/// Where texts stand in a page, which must be in this order.
fn expect_order(page: &str, texts: &[&str]) {
    let at: Vec<Option<usize>> = texts.iter().map(|text| page.find(text)).collect();
    assert!(at.iter().all(Option::is_some) && at.is_sorted(), "{texts:?} stand at {at:?}");
}

#[test]
fn a_sheet_holds_the_pictures_in_page_order_and_an_empty_frame_for_what_is_missing() {
    let job = Job::new(BOOK);
    job.sound("leeks.jpg");
    job.sound("tart.jpg");
    job.sound("nobody.jpg");
    let ran = job.run("contact brief.toml exports --into sheet.html").ends(0);
    ran.says(&["1 sheet written to sheet.html: 2 pictures", "1 print has no picture yet", "not on it: 1 picture"]);
    let page = fs::read_to_string(job.path("sheet.html")).unwrap();
    expect_order(&page, &["<h2>plum tart</h2>", "<h2>leeks</h2>", "no picture yet", "<h2>the table</h2>"]);
    assert_eq!(page.matches("<img src=\"data:image").count(), 2);
    assert!(page.contains("<h1>Low &lt;b&gt;Water&lt;&#x2f;b&gt; Suppers</h1>"), "the title is not escaped");
    assert!(page.contains("from Maren Olde") && !page.contains("PASS"));
    // Nine a page, with states.
    job.run("contact brief.toml exports --into nine.html --per-page 9 --states").ends(0);
    let page = fs::read_to_string(job.path("nine.html")).unwrap();
    assert!(page.contains("repeat(3, minmax(0, 1fr))") && page.contains("PASS"));
}

#[test]
fn nothing_is_overwritten_and_what_is_wrong_is_said_before_pictures_are_read() {
    let job = Job::new(BOOK);
    job.sound("leeks.jpg");
    fs::write(job.path("mine.html"), "mine").unwrap();
    job.run("contact brief.toml exports --into mine.html").ends(2).complains(&["mine.html already exists; name a new"]);
    assert_eq!(fs::read_to_string(job.path("mine.html")).unwrap(), "mine");
    job.run("contact brief.toml exports --into sheet.pdf").ends(2).complains(&["write --into sheet.html"]);
    job.run("contact brief.toml exports --into gone/sheet.html").ends(2).complains(&["there is no such folder"]);
    job.run("contact brief.toml nowhere --into sheet.html").ends(2).complains(&["nowhere"]);
    job.run("contact brief.toml exports --into sheet.html --per-page 4").ends(2).complains(&["write 6 or 9"]);
    fs::write(job.path("brief.toml"), "[[print]]\nsize = \"wide\"\n").unwrap();
    job.run("contact brief.toml exports --into sheet.html").ends(2).complains(&["brief.toml:2"]);
    assert!(!job.path("sheet.html").exists());
}

#[test]
fn a_picture_that_cannot_be_read_has_a_frame_that_says_so() {
    let job = Job::new(BOOK);
    job.put("leeks.jpg", "no picture at all");
    job.run("contact brief.toml exports --into sheet.html").ends(0);
    let page = fs::read_to_string(job.path("sheet.html")).unwrap();
    assert_eq!((page.matches("this picture cannot be shown").count(), page.matches("no picture yet").count()), (1, 2));
}
