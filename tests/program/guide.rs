//! Frames for the camera's picture.

use std::fs;

use crate::support::Job;

#[test]
fn each_print_has_a_frame_of_the_cameras_shape() {
    let brief = "[[print]]\nname = \"page twelve\"\nsize = \"210 x 260 mm\"\npicture = \"p12*\"\n\
                 [[print]]\nname = \"spread\"\nsize = \"420 x 260 mm\"\npicture = \"p14*\"\n";
    let job = Job::new(brief);
    job.run("guide brief.toml --into frames --frame 4:3 --size 800").ends(0).says(&["2 frames written"]);
    // Width and height stand in a PNG's first chunk (W3C PNG, 11.2.1).
    let size = |name: &str| {
        let bytes = fs::read(job.path("frames").join(name)).unwrap();
        [16, 20].map(|at| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()))
    };
    assert_eq!((size("page-twelve.png"), size("spread.png")), ([600, 800], [800, 600]));
    job.run("guide brief.toml --into frames").ends(2).complains(&["frames already exists; name a new folder"]);
    job.run("guide brief.toml nobody --into other").ends(2).complains(&["no print \"nobody\""]);
    job.run("guide brief.toml --into other --frame 3").ends(2).complains(&["write for example 3:2"]);
    assert!(!job.path("other").exists());
    // A brief's own id leads nowhere else.
    fs::write(job.path("brief.toml"), "[[print]]\nid = \"../../out\"\nsize = \"A5\"\n").unwrap();
    job.run("guide brief.toml --into third --size 300").ends(0);
    assert!(job.path("third/out.png").exists() && !job.path("out.png").exists());
}
