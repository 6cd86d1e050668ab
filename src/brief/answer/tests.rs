//! Answers on disk: where they go, what stays, and what is refused.

use std::fs;
use std::path::PathBuf;

use super::*;
use crate::brief::read;

const DAY: &str = "2026-11-30";

/// A brief `a.toml`, and perhaps a sheet `b.toml`, in a folder.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new(brief: &str, sheet: Option<&str>) -> Desk {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.toml"), brief).unwrap();
        sheet.iter().for_each(|sheet| fs::write(folder.path().join("b.toml"), sheet).unwrap());
        Desk { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("a.toml")
    }

    fn brief(&self) -> Brief {
        read(&self.path(), &[]).unwrap_or_else(|problems| panic!("{problems:#?}"))
    }

    fn question(&self, key: &str) -> OpenQuestion {
        let all = questions::questions(&self.brief());
        all.into_iter().find(|question| question.key == key).unwrap_or_else(|| panic!("{key} is not open"))
    }

    /// Answers the first question about a key.
    fn answer(&self, key: &str, answer: &str) -> Result<WrittenAnswer, AnswerError> {
        write(&self.path(), &self.question(key), answer, DAY, &[])
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.folder.path().join(name)).unwrap()
    }
}

#[test]
fn an_answer_goes_into_the_sheet_with_its_day_and_comments_stay() {
    let desk = Desk::new(
        "sheet = \"b.toml\"\n[paper]\nstock = \"coated\"\n[[print]]\nsize = \"A4\"\n",
        Some("# Corrow Lane Press.\n\n# As told by telephone.\n[density]\nminimum = \"240 ppi\" # art books\n"),
    );
    desk.answer("contact", "Ines Falk, prepress@corrow-lane.example").unwrap();
    let written = desk.answer("paper.dmax", "Dmax 1.85").unwrap();
    assert_eq!((written.file.ends_with("b.toml"), written.value.as_str()), (true, "1.85"));
    desk.answer("density.target", "300 ppi").unwrap();
    assert_eq!(
        desk.text("b.toml"),
        "# Corrow Lane Press.\ncontact = \"Ines Falk, prepress@corrow-lane.example\"\n\n# As told by telephone.\n\
         [density]\nminimum = \"240 ppi\" # art books\ntarget = \"300 ppi\"\n\n[paper]\nstock = \"coated\"\n\
         dmax = 1.85\n\n[answered]\ncontact = 2026-11-30\n\"paper.dmax\" = 2026-11-30\n\
         \"density.target\" = 2026-11-30\n"
    );
    let brief = desk.brief();
    assert_eq!(brief.answered_on("paper.dmax", &brief.origins.of("paper.dmax")), Some(DAY));
    assert!(questions::questions(&brief).iter().all(|question| question.key != "paper.dmax"));
}

#[test]
fn without_a_sheet_and_for_what_is_of_one_order_the_brief_takes_it() {
    let desk = Desk::new("title = \"x\"\n\n# The prints.\n[[print]]\nsize = \"A4\"\n", None);
    desk.answer("margins.safe", "5 mm").unwrap();
    desk.answer("due", "2026-12-18").unwrap();
    assert_eq!(
        desk.text("a.toml"),
        "title = \"x\"\ndue = 2026-12-18\n\n[margins]\nsafe = \"5 mm\"\n\n[answered]\n\"margins.safe\" = 2026-11-30\n\
         due = 2026-11-30\n\n# The prints.\n[[print]]\nsize = \"A4\"\n"
    );
    let desk = Desk::new("sheet = \"b.toml\"\r\n[[print]]\r\nsize = \"A4\"\r\n", Some(""));
    assert!(desk.answer("due", "2026-12-18").unwrap().file.ends_with("a.toml"));
    let text = desk.text("a.toml");
    assert!(text.starts_with("sheet = \"b.toml\"\r\ndue = 2026-12-18\r\n") && !text.replace("\r\n", "").contains('\n'));
}

#[test]
fn an_answer_about_one_paper_is_none_about_another() {
    let text = "[papers.body]\nstock = \"coated\"\n[[print]]\nsize = \"A4\"\npaper = \"body\"\n[[print]]\n\
                name = \"wall\"\nsize = \"A2\"\n[print.paper]\nstock = \"cotton\"\n";
    let desk = Desk::new(text, None);
    desk.answer("paper.dmax", "1.9").unwrap();
    assert!(desk.text("a.toml").contains("[papers.body]\nstock = \"coated\"\ndmax = 1.9\n"));
    assert_eq!(desk.question("paper.dmax").paper.as_deref(), Some("matte cotton, inkjet"));
    desk.answer("paper.dmax", "1.6").unwrap();
    assert!(desk.text("a.toml").contains("[print.paper]\nstock = \"cotton\"\ndmax = 1.6 # answered 2026-11-30\n"));
    let brief = desk.brief();
    assert_eq!(brief.prints.iter().map(|print| print.requirements.paper.dmax).collect::<Vec<_>>(), [1.9, 1.6]);
    assert!(desk.text("a.toml").contains("\"papers.body.dmax\" = 2026-11-30"));
}

#[test]
fn a_sheet_of_another_paper_is_left_alone() {
    let sheet = "[paper]\nstock = \"coated\"\ndmax = 1.9\n";
    let desk = Desk::new("sheet = \"b.toml\"\n[paper]\nstock = \"cotton\"\n[[print]]\nsize = \"A4\"\n", Some(sheet));
    assert!(desk.answer("paper.dmax", "1.6").unwrap().file.ends_with("a.toml"));
    assert_eq!((desk.text("b.toml").as_str(), desk.brief().requirements.paper.dmax), (sheet, 1.6));
}

#[test]
fn what_is_no_answer_is_said_and_nothing_is_written() {
    let desk = Desk::new("sheet = \"b.toml\"\n[[print]]\nsize = \"A4\"\n", Some("[density]\ntarget = \"300 ppi\"\n"));
    let said = |key: &str, answer: &str| match desk.answer(key, answer) {
        Err(AnswerError::Wrong { what, fix }) => (what, fix),
        other => panic!("{other:?}"),
    };
    assert_eq!(said("margins.safe", "5").1, "type 5 mm");
    assert_eq!(said("paper.stock", "coatet").1, "type coated");
    assert!(said("paper.dmax", "deep").1.ends_with("for example 1.5"));
    assert!(said("density.minimum", "320 ppi").0.contains("is above the target"));
    assert!(said("paper.profile", "nowhere.icc").0.contains("there is no file"));
    assert_eq!(desk.text("b.toml"), "[density]\ntarget = \"300 ppi\"\n");
}

#[test]
fn prints_of_a_list_have_no_place_of_their_own() {
    let desk = Desk::new("prints = \"l.csv\"\n[[print]]\nsize = \"A2\"\n[print.paper]\nstock = \"canvas\"\n", None);
    fs::write(desk.folder.path().join("l.csv"), "picture,size\na.jpg,A4\n").unwrap();
    // On the order it would be an answer about the canvas too.
    assert!(matches!(desk.answer("density.minimum", "200 ppi"), Err(AnswerError::NoPlace)));
    let all = questions::questions(&desk.brief());
    let of_canvas = all.into_iter().rfind(|question| question.key == "density.minimum").unwrap();
    write(&desk.path(), &of_canvas, "120 ppi", DAY, &[]).unwrap();
    let text = desk.text("a.toml");
    assert!(text.ends_with("[print.density]\nminimum = \"120 ppi\" # answered 2026-11-30\n"), "{text}");
    assert!(desk.answer("paper.dmax", "1.9").is_ok(), "a paper of its own keeps its own black");
}

#[test]
fn a_sheet_that_is_not_there_is_begun_once() {
    let desk = Desk::new("sheet = \"printers/b.toml\"\n[[print]]\nsize = \"A4\"\n", None);
    assert!(begin_sheet(&desk.path()).unwrap().is_some_and(|path| path.ends_with("printers/b.toml")));
    assert_eq!(begin_sheet(&desk.path()).unwrap(), None);
    desk.answer("paper.stock", "coated").unwrap();
    let text = desk.text("printers/b.toml");
    assert!(text.starts_with("# What this printer has answered") && text.contains("\n[paper]\nstock = \"coated\"\n"));
}

#[test]
fn two_windows_that_answer_at_once_keep_each_other_s_answers() {
    const ROUNDS: usize = 30;
    for round in 0..ROUNDS {
        let desk = Desk::new("sheet = \"b.toml\"\n[[print]]\nsize = \"A4\"\n", Some("# Corrow Lane Press.\n"));
        let answers = [("contact", "Ines Falk"), ("paper.stock", "coated"), ("density.target", "300 ppi")];
        let all = answers.map(|(key, answer)| (desk.question(key), answer));
        std::thread::scope(|scope| {
            for (question, answer) in &all {
                scope.spawn(|| write(&desk.path(), question, answer, DAY, &[]).unwrap());
            }
        });
        let sheet = desk.text("b.toml");
        for key in ["contact", "stock", "target"] {
            assert!(sheet.contains(&format!("\n{key} = ")), "round {round}, {key}: {sheet}");
        }
    }
}

#[test]
fn of_two_answers_to_one_question_the_second_is_not_written_over_the_first() {
    let desk = Desk::new("sheet = \"b.toml\"\n[[print]]\nsize = \"A4\"\n", Some("# Corrow Lane Press.\n"));
    let (order, question) = (AnsweredOrder::read(&desk.path(), &[]).unwrap(), desk.question("density.target"));
    let key = key_table::find("density.target").unwrap();
    desk.answer("density.target", "300 ppi").unwrap();
    let late = order.answer(&question, key, "240 ppi", "\"240 ppi\"", DAY, &[]);
    assert!(matches!(late, Err(AnswerError::Changed(_))), "{late:?}");
    assert!(!AnsweredOrder::read(&desk.path(), &[]).unwrap().is_open(&question, key));
}
