//! `plateside brief answer`: goes through the open questions at the prompt, and writes each answer at once.

use std::io::{self, BufRead, Read};

use color_eyre::eyre::{Result, WrapErr};

use crate::brief::answer::{self, AnswerError, WrittenAnswer};
use crate::brief::key_table::NOT_SAID;
use crate::brief::questions::{OpenQuestion, questions};
use crate::brief::{Brief, Problem};
use crate::cli::args::{BriefArgs, ColourChoice};
use crate::cli::output::{read_brief, report_problems, say, write_bytes};
use crate::judge::configurable_ids;
use crate::report::{Exit, answering};
use crate::user::clock;

/// Longest answer that is read, in bytes: above the longest text of a brief. Own choice.
const MAX_ANSWER_BYTES: u64 = 16_000;

/// Asks what is open, one question at a time, until all were asked or the input ends.
pub fn answer(args: &BriefArgs) -> Result<Exit> {
    if let Some(sheet) = answer::begin_sheet(&args.brief)? {
        say(&[crate::units::styled::Line::plain(format!("{} is begun", sheet.display()))], args.text.colour)?;
    }
    match Prompt::new(args).run() {
        Ok(()) => Ok(Exit::Clean),
        Err(Ended::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(Ended::Failed(report)) => Err(report),
    }
}

/// Why the questions ended early.
enum Ended {
    Mistakes(Vec<Problem>),
    Failed(color_eyre::Report),
}

impl From<color_eyre::Report> for Ended {
    fn from(report: color_eyre::Report) -> Ended {
        Ended::Failed(report)
    }
}

/// How a question at the prompt ended.
enum Asked {
    Answered(OpenQuestion, WrittenAnswer),
    LeftOpen,
    NoMoreInput,
}

/// The questions at the prompt.
struct Prompt<'a> {
    args: &'a BriefArgs,
    colour: ColourChoice,
    day: String,
    /// Those that were put, so that none is put twice.
    put: Vec<OpenQuestion>,
    answers: usize,
}

impl<'a> Prompt<'a> {
    fn new(args: &'a BriefArgs) -> Prompt<'a> {
        let day = clock::local().date().to_string();
        Prompt { args, colour: args.text.colour, day, put: Vec::new(), answers: 0 }
    }

    fn run(&mut self) -> Result<(), Ended> {
        let brief = self.brief()?;
        say(&answering::beginning(&brief, answerable(&brief).len()), self.colour)?;
        while let Some((question, brief)) = self.next()? {
            self.put.push(question.clone());
            match self.ask(&question, &brief)? {
                Asked::Answered(question, written) => {
                    self.answers += 1;
                    say(&answering::kept(&question, &written), self.colour)?;
                }
                Asked::LeftOpen => {}
                Asked::NoMoreInput => break,
            }
        }
        if !self.put.is_empty() {
            say(&answering::ending(self.answers, answerable(&self.brief()?).len()), self.colour)?;
        }
        Ok(())
    }

    fn brief(&self) -> Result<Brief, Ended> {
        read_brief(&self.args.brief).map_err(Ended::Mistakes)
    }

    /// The next question that was not put yet, with the brief as it is now. An answer may open or close others.
    fn next(&self) -> Result<Option<(OpenQuestion, Brief)>, Ended> {
        let brief = self.brief()?;
        let is_same = |a: &OpenQuestion, b: &OpenQuestion| {
            (a.key, &a.text, &a.paper, &a.prints) == (b.key, &b.text, &b.paper, &b.prints)
        };
        let is_new = |one: &OpenQuestion| !self.put.iter().any(|put| is_same(put, one));
        Ok(answerable(&brief).into_iter().find(is_new).map(|question| (question, brief)))
    }

    /// Puts a question until the answer is right or there is none.
    fn ask(&self, question: &OpenQuestion, brief: &Brief) -> Result<Asked, Ended> {
        say(&answering::asked(question, brief), self.colour)?;
        let mut typed_again = None;
        loop {
            let typed = match typed_again.take() {
                Some(typed) => typed,
                None => match read_answer()? {
                    None => return Ok(Asked::NoMoreInput),
                    Some(typed) if typed.is_empty() => return Ok(Asked::LeftOpen),
                    Some(typed) => typed,
                },
            };
            let takes_usual = typed == answering::TAKES_USUAL;
            if takes_usual && question.assumed == NOT_SAID {
                say(
                    &answering::refused("nothing is usual here", "type the answer, or leave the line empty"),
                    self.colour,
                )?;
                continue;
            }
            let mut answer = if takes_usual { question.assumed.clone() } else { typed };
            if let Some(understood) = answer::understood(question, &answer) {
                say(&answering::understood(question, &understood), self.colour)?;
                match read_answer()? {
                    None => return Ok(Asked::NoMoreInput),
                    Some(typed) if typed.is_empty() => answer = understood.words,
                    again => {
                        typed_again = again;
                        continue;
                    }
                }
            }
            match answer::write(&self.args.brief, question, &answer, &self.day, &configurable_ids()) {
                Ok(written) => return Ok(Asked::Answered(question.clone(), written)),
                Err(AnswerError::Wrong { what, fix }) => say(&answering::refused(&what, &fix), self.colour)?,
                Err(error @ AnswerError::Changed(_)) => say(&answering::refused(&error.to_string(), ""), self.colour)?,
                Err(error @ AnswerError::NoPlace) => {
                    let fix = "give their paper a name, [papers.NAME], and write the answer below it";
                    say(&answering::refused(&error.to_string(), fix), self.colour)?;
                    return Ok(Asked::LeftOpen);
                }
                Err(AnswerError::Mistakes(problems)) => return Err(Ended::Mistakes(problems)),
                Err(error @ AnswerError::Write { .. }) => return Err(Ended::Failed(error.into())),
            };
        }
    }
}

/// The open questions that a value of the brief answers.
fn answerable(brief: &Brief) -> Vec<OpenQuestion> {
    questions(brief).into_iter().filter(OpenQuestion::is_answered_by_value).collect()
}

/// Prompts for a line of standard input, without the blanks around it; nothing at the end of the input.
fn read_answer() -> Result<Option<String>> {
    write_bytes(b"> ")?;
    let mut line = Vec::new();
    let stdin = io::stdin().lock();
    stdin.take(MAX_ANSWER_BYTES).read_until(b'\n', &mut line).wrap_err("standard input cannot be read")?;
    Ok((!line.is_empty()).then(|| String::from_utf8_lossy(&line).trim().to_owned()))
}
