//! The order of events: first all waiting keys, then news of the live table, then what is due by itself; one frame
//! after each round.

#[cfg(test)]
mod tests;

use std::error::Error;
use std::io::{self, Write};
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, Select, TryRecvError, never};
use crossterm::event::Event;
use ratatui::Terminal;
use ratatui::backend::Backend;
use ratatui::layout::{Position, Rect};

use crate::live::snapshot::LiveCommand;
use crate::tui::app::{App, Reaction};
use crate::tui::bell::BEL;
use crate::tui::live_source::LiveSource;
use crate::tui::picture::painter::{EncoderNews, Painter};

/// Least time between two frames requested only by the live table: one frame of a 60 Hz screen. Keys never wait for it.
const FRAME: Duration = Duration::from_millis(16);

/// How often to check whether decisions have been written, while some have not. Own choice.
const WRITING_LOOKS: Duration = Duration::from_millis(50);

/// Shown once when the encoder of graphics has ended.
const NO_ENCODER: &str = "graphics failed: half blocks instead";

/// Why the loop ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoopEnd {
    /// The person quit.
    Asked,
    /// A signal ended it; its number.
    Signal(i32),
    /// The terminal went away.
    TerminalGone,
}

/// A signal that the loop handles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// End the program; the signal's number.
    End(i32),
    /// Stop until continued.
    Stop,
}

/// The sources of events. A closed channel of events means that the terminal went away.
pub struct Inputs {
    /// Keys, the mouse, new sizes.
    pub events: Receiver<Event>,
    /// Signals.
    pub signals: Receiver<Signal>,
}

/// Everything that the loop needs to run.
pub struct EventLoop<'a> {
    /// The live table.
    pub source: &'a dyn LiveSource,
    /// The screen.
    pub app: App,
    /// The screen's pictures.
    pub painter: Painter,
    /// The sources of events.
    pub inputs: Inputs,
    /// A function that gives the terminal back, stops, and takes it again once continued.
    pub suspend: &'a mut dyn FnMut() -> io::Result<()>,
    /// The source of the size of a cell in pixels; zeros if unknown.
    pub cell_px: &'a dyn Fn() -> (u16, u16),
}

/// The outcome of a round of events.
#[derive(Default)]
struct Round {
    must_draw: bool,
    must_suspend: bool,
    ended: Option<LoopEnd>,
}

impl EventLoop<'_> {
    /// Runs until something ends the loop. Graphics are written to `out`, the terminal outside its frames.
    ///
    /// # Errors
    /// If the terminal cannot be drawn to.
    pub fn run<B: Backend>(mut self, terminal: &mut Terminal<B>, out: &mut dyn Write) -> io::Result<LoopEnd>
    where
        B::Error: Error + Send + Sync + 'static,
    {
        let mut wake = self.source.wake().clone();
        let mut shown_rows = None;
        let mut drawn = self.frame(terminal, out, &mut shown_rows)?;
        let mut news = false;
        loop {
            let due = self.next_frame_at(drawn, news);
            let mut round = Round::default();
            news |= self.wait(due, &mut wake);
            while let Some(more) = self.next_event() {
                match more {
                    Ok(reaction) => self.react(reaction, &mut round),
                    Err(ended) => round.ended = Some(ended),
                }
                if round.ended.is_some() {
                    break;
                }
            }
            let copied = self.app.take_copied().map_or(Ok(()), |sequence| {
                out.write_all(&sequence)?;
                out.flush()
            });
            if self.app.is_leaving() && self.source.pending_decisions() == 0 {
                round.ended = round.ended.or(Some(LoopEnd::Asked));
            }
            if let Some(ended) = round.ended {
                self.source.send(LiveCommand::Quit);
                // The terminal may be gone already; then there is no picture either.
                let _gone = self.painter.close(out);
                return Ok(ended);
            }
            copied?;
            if round.must_suspend {
                self.painter.close(out)?;
                (self.suspend)()?;
                // Not `clear`, which asks the terminal where its cursor is while another thread reads the answers.
                let size = terminal.size().map_err(io::Error::other)?;
                terminal.resize(Rect::from((Position::ORIGIN, size))).map_err(io::Error::other)?;
                round.must_draw = true;
            }
            let now = Instant::now();
            if round.must_draw || self.next_frame_at(drawn, news).is_some_and(|due| due <= now) {
                news = false;
                drawn = self.frame(terminal, out, &mut shown_rows)?;
            }
        }
    }

    /// Returns when the next frame is due if no key is pressed.
    fn next_frame_at(&self, drawn: Instant, news: bool) -> Option<Instant> {
        let news = news.then_some(drawn + FRAME);
        let writing = self.app.waits_for_writing().then_some(drawn + WRITING_LOOKS);
        [news, writing, self.painter.next_frame_at(), self.app.next_frame_at()].into_iter().flatten().min()
    }

    /// Waits for anything to happen, at most until `due`; returns true if the live table or the encoder has news.
    fn wait(&mut self, due: Option<Instant>, wake: &mut Receiver<()>) -> bool {
        let mut select = Select::new();
        select.recv(&self.inputs.events);
        select.recv(&self.inputs.signals);
        select.recv(wake);
        self.painter.wait_for_encoder(&mut select);
        match due {
            Some(due) => drop(select.ready_deadline(due)),
            None => drop(select.ready()),
        }
        let mut news = drain(wake);
        match self.painter.receive() {
            EncoderNews::None => {}
            EncoderNews::Encoded => news = true,
            EncoderNews::Ended => {
                self.app.say(NO_ENCODER);
                news = true;
            }
        }
        news
    }

    /// Returns the next waiting event, as a reaction or as the end of the loop.
    fn next_event(&mut self) -> Option<Result<Reaction, LoopEnd>> {
        match self.inputs.signals.try_recv() {
            Ok(Signal::End(number)) => return Some(Err(LoopEnd::Signal(number))),
            Ok(Signal::Stop) => return Some(Ok(Reaction::Suspend)),
            Err(TryRecvError::Empty) => {}
            Err(TryRecvError::Disconnected) => self.inputs.signals = never(),
        }
        match self.inputs.events.try_recv() {
            Ok(event) => Some(Ok(self.app.handle(&event))),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err(LoopEnd::TerminalGone)),
        }
    }

    /// Carries out a reaction; records in `round` what follows after the waiting events.
    fn react(&mut self, reaction: Reaction, round: &mut Round) {
        match reaction {
            Reaction::None => return,
            Reaction::Draw => {}
            Reaction::Resized => self.painter.forget(),
            Reaction::Send(command) => self.source.send(command),
            Reaction::Suspend => round.must_suspend = true,
            // Decisions are written first, unless the person quits again.
            Reaction::Quit if self.source.pending_decisions() > 0 && !self.app.is_leaving() => self.app.leave(),
            Reaction::Quit => round.ended = Some(LoopEnd::Asked),
        }
        round.must_draw = true;
    }

    /// Draws a frame from the newest state of the live table, and tells the table if other rows are on screen than
    /// `shown_rows`; returns the time.
    fn frame<B: Backend>(
        &mut self,
        terminal: &mut Terminal<B>,
        out: &mut dyn Write,
        shown_rows: &mut Option<LiveCommand>,
    ) -> io::Result<Instant>
    where
        B::Error: Error + Send + Sync + 'static,
    {
        let now = Instant::now();
        self.painter.set_cell_px((self.cell_px)());
        self.app.update(self.source.snapshot(), now);
        self.app.take_proof(self.source.proof());
        self.app.set_pending_decisions(self.source.pending_decisions());
        let thumbnail = self.source.thumbnail();
        let (app, painter) = (&mut self.app, &mut self.painter);
        terminal.draw(|frame| app.draw(frame, painter, thumbnail.as_ref(), now)).map_err(io::Error::other)?;
        painter.flush(out)?;
        if app.rings() {
            out.write_all(BEL)?;
            out.flush()?;
        }
        let command = self.app.state().show_rows_command();
        if shown_rows.as_ref() != Some(&command) {
            self.source.send(command.clone());
            *shown_rows = Some(command);
        }
        Ok(now)
    }
}

/// Takes all signals of the live table; returns true if there were any.
fn drain(wake: &mut Receiver<()>) -> bool {
    let mut news = false;
    loop {
        match wake.try_recv() {
            Ok(()) => news = true,
            Err(TryRecvError::Empty) => return news,
            // The live table has ended; its last snapshot stays.
            Err(TryRecvError::Disconnected) => *wake = never(),
        }
    }
}
