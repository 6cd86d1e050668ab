//! Pictures of the screen for the README, drawn from what the program writes to a pseudo-terminal:
//!   cargo run --release --example screen -- PLACE KEYS OUT.svg
//! opens the demo's order that lies in PLACE (`plateside demo --no-screen --into PLACE`), types the keys once every
//! picture is read, and writes the screen as a scalable picture.

mod svg;

use std::io::{Read, Write};
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use color_eyre::eyre::{Result, bail, eyre};
use portable_pty::{CommandBuilder, PtySize, native_pty_system};

/// Columns and rows of the window.
const SIZE: (u16, u16) = (120, 34);
/// The screen has come to rest once it stayed the same for so long.
const REST: Duration = Duration::from_millis(1_500);
/// Longest wait for that.
const PATIENCE: Duration = Duration::from_secs(120);
/// Between two keys.
const BETWEEN: Duration = Duration::from_millis(200);

fn main() -> Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [place, keys, out] = &words[..] else {
        bail!("the command stands at the top of tests/pictures/screen.rs");
    };
    let program = std::env::current_exe()?.with_file_name("../plateside");
    let pair = native_pty_system()
        .openpty(PtySize { rows: SIZE.1, cols: SIZE.0, pixel_width: 0, pixel_height: 0 })
        .map_err(|error| eyre!("no pseudo-terminal: {error}"))?;
    let mut command = CommandBuilder::new(program.canonicalize()?);
    command.args(["low-water.toml", "exports", "--thumbnail", "blocks"]);
    command.cwd(place);
    command.env("TERM", "xterm-256color");
    command.env("COLORTERM", "truecolor");
    for name in ["XDG_CONFIG_HOME", "XDG_CACHE_HOME"] {
        command.env(name, Path::new(place).join(".own"));
    }
    let mut child = pair.slave.spawn_command(command).map_err(|error| eyre!("the program does not start: {error}"))?;
    let screen = Arc::new(Mutex::new((vt100::Parser::new(SIZE.1, SIZE.0, 0), Instant::now())));
    let mut reader = pair.master.try_clone_reader().map_err(|error| eyre!("its output: {error}"))?;
    let seen = Arc::clone(&screen);
    thread::spawn(move || {
        let mut bytes = [0; 65_536];
        while let Ok(count @ 1..) = reader.read(&mut bytes) {
            let mut seen = seen.lock().expect("no reader panics");
            seen.0.process(&bytes[..count]);
            seen.1 = Instant::now();
        }
    });
    let at_rest = || {
        let began = Instant::now();
        while began.elapsed() < PATIENCE {
            thread::sleep(Duration::from_millis(50));
            let seen = screen.lock().expect("no reader panics");
            let text = seen.0.screen().contents();
            if seen.1.elapsed() > REST && !text.contains("to check") && text.contains("PASS") {
                return Ok(());
            }
        }
        bail!("the screen never comes to rest")
    };
    at_rest()?;
    let mut writer = pair.master.take_writer().map_err(|error| eyre!("its keys: {error}"))?;
    for key in keys.chars() {
        writer.write_all(key.to_string().as_bytes())?;
        writer.flush()?;
        thread::sleep(BETWEEN);
    }
    thread::sleep(REST);
    std::fs::write(out, svg::of(screen.lock().expect("no reader panics").0.screen()))?;
    child.kill()?;
    Ok(())
}
